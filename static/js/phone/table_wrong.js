// At the foray's table, what the ledger will not take: said before the form moves on, and of what it did refuse at the top.
import { numberDoubts } from "../log/number_boxes.js";
import { element } from "../log/pieces.js";
import { say, woven } from "../words.js";
import { tell } from "./table_form.js";

const place = (id) => document.getElementById(id);

/** Told at the first press for `entry`, as in the log form; who presses again wants it as it is. Returns whether it was. */
export function tellDoubts(form, entry) {
  const doubts = numberDoubts(form);
  if (!doubts.length || entry.doubtsTold === JSON.stringify(doubts)) return false;
  entry.doubtsTold = JSON.stringify(doubts);
  tellWrong(
    doubts,
    say("What you entered."),
    say(
      "Mend it. Or press {button} again: the ledger does not take it like this, so it stays on this phone until you mend it.",
      { button: place("next").textContent },
    ),
  );
  return true;
}

/** Why the find that was opened to be corrected was refused, where it was. */
export function tellRefused({ before }) {
  if (before?.state !== "refused") return;
  const todo = say("Correct what is named, then keep the correction.");
  tellWrong(before.trouble?.wrong ?? [], say("The find, on this phone."), todo);
}

const sentencesOf = (wrong) => (wrong ?? []).map(({ sentence }) => sentence).join(" ");

const tellWrong = (wrong, kept, todo) => tell(sentencesOf(wrong), kept, todo);

/** At the top, as long as it is so: finds of this table that the ledger refused. `open(id)` corrects that one. */
export function tellRefusedFinds(finds, open) {
  const slot = place("table-refused");
  const told = JSON.stringify(finds.map(({ id, number, trouble: { wrong } = {} }) => [id, number, wrong]));
  // Written only where it is another: it is read out.
  if (slot.dataset.told === told) return;
  slot.dataset.told = told;
  const kept = place("entry-said");
  if (finds.some(({ id }) => id === kept.dataset.find)) kept.replaceChildren();
  slot.replaceChildren(
    ...finds.map((find) => {
      const box = element("div", "", { className: "notice notice--stop table-refused__one" });
      const said = element("p", "");
      const number = element("b", find.number ?? say("A find"), { className: "number" });
      const why = sentencesOf(find.trouble?.wrong);
      said.append(...woven(say("{find} was not taken by the ledger: {why}"), { find: number, why }));
      const mend = element("button", say("Correct it"), { type: "button", className: "button" });
      mend.addEventListener("click", () => open(find.id));
      box.append(said, mend);
      return box;
    }),
  );
}
