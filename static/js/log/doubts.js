// What the ledger will not take in a find as it is typed: told at Keep already, with the thing still in the hand. It lies on
// this phone all the same.
import { openAround } from "./boxes.js";
import { rulesHere } from "./check.js";
import { fieldsOf } from "./drafts.js";
import { numberDoubts } from "./number_boxes.js";
import { element } from "./pieces.js";
import { tellAbove } from "./troubles.js";
import { placeTyped } from "./typed_place.js";
import { say } from "../words.js";

// A slow phone must not be waited for at Keep: the ledger asks in any case.
const LONGEST_MS = 1000;

/** [{sentence, anchor}], readings first, as the ledger lists them. Nothing that the ledger would take is among them. */
export async function doubtsIn(form) {
  const late = new Promise((resolve) => {
    setTimeout(resolve, LONGEST_MS, []);
  });
  return [...(await Promise.race([ofReadings(form), late])), ...ofBoxes(form)];
}

async function ofReadings(form) {
  if (form.dataset.rules !== "here") return [];
  try {
    const { here, reference } = await rulesHere();
    const problems = Object.entries(here.readingProblems(reference, fieldsOf(form)));
    return problems.map(([code, sentence]) => ({ sentence, anchor: `row-${code}` }));
  } catch {
    return []; // Rules that break on a form are a fault of ours: the ledger reads it.
  }
}

function ofBoxes(form) {
  const doubts = [];
  const place = placeTyped(form.elements.position_typed.value);
  if (place?.kind === "asked") doubts.push({ sentence: `${say("Place")}: ${place.sentence}`, anchor: "id_position_typed" });
  return [...doubts, ...numberDoubts(form)];
}

/** Told above the form and at the boxes. The find is in the outbox already; `keepNow()` leaves it as it is. */
export function tellDoubts(form, find, doubts, { keepNow }) {
  const mend = element("button", say("Mend it"), { type: "button", className: "button button--primary" });
  mend.addEventListener("click", () => goTo(document.getElementById(doubts[0].anchor)));
  const keep = element("button", say("Keep it all the same"), { type: "button", className: "button" });
  keep.addEventListener("click", () => keepNow());
  const acts = element("p", "", { className: "actions" });
  acts.append(mend, keep);
  tellAbove(form, {
    wrong: doubts,
    kept: find.version ? say("Your changes and every photo, on this phone.") : say("Everything you typed and every photo, on this phone."),
    todo: [
      say("Mend what is named. Or keep it all the same: the ledger does not take it like this, so it stays on this phone until you mend it."),
      acts,
    ],
  });
}

function goTo(place) {
  openAround(place);
  const box = place.matches("input, textarea, select") ? place : (place.querySelector("input") ?? place);
  box.focus({ preventScroll: true });
  place.scrollIntoView({ block: "center" });
}
