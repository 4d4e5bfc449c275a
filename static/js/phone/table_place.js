// Where the finds of a whole table are from: one position, and how far from it anybody looked. Asked once, at the setup.
import { placeTyped } from "../log/typed_place.js";
import { say } from "../words.js";
import { watchPlace } from "./place_watch.js";
import { errorOf } from "./table_day.js";

// How far a forenoon's foray spreads from where it meets (our judgement); said, and open to be changed.
const USUAL_REACH_M = 1000;
const MOST_REACH_M = 20_000;
const place = (id) => document.getElementById(id);

/**
 * The boxes of the setup as one place {key, text, source, accuracy, reach}, or {problem}, or null where nothing is typed.
 * `accuracy`: metres of the phone's own error, null for a typed place; `reach`: metres. `key`: the table it is for. Pure.
 */
export function placeGiven({ text, accuracy, reach, key }) {
  const typed = text.trim();
  if (!typed) return null;
  const read = placeTyped(typed);
  if (read.kind === "asked") return { problem: read.sentence };
  // Refused by the ledger, it would come back with every find of the table.
  if (read.kind === "later") {
    return { problem: say("This page reads decimal degrees only: type it such as 51.2345, -2.3456.") };
  }
  const metres = Number(reach.trim().replace(",", "."));
  if (!(metres > 0 && metres <= MOST_REACH_M)) {
    return { problem: say("How far they looked is a number of metres, up to {most}.", { most: MOST_REACH_M }) };
  }
  return { key, text: typed, source: accuracy === null ? "typed" : "phone", accuracy, reach: metres };
}

export class TablePlace {
  /** `form`: that of the setup; `onChange()` is told when the phone has found its place. */
  constructor(form, { onChange }) {
    Object.assign(this, { onChange, accuracy: null, stop: null });
    const { position, reach } = form.elements;
    Object.assign(this, { position, reach });
    position.addEventListener("input", () => {
      // By hand: a fix that comes later does not overwrite it.
      this.stop?.();
      this.accuracy = null;
    });
    place("setup-locate").addEventListener("click", () => (this.stop ? this.stop() : this.listen()));
    for (const button of form.querySelectorAll("[data-reach]")) {
      button.addEventListener("click", () => {
        reach.value = button.dataset.reach;
        onChange();
      });
    }
  }

  /** Put what is kept for this table into the boxes; that of another table is none for this one. */
  show(kept, key) {
    this.stop?.();
    const mine = kept?.key === key ? kept : null;
    this.key = key;
    this.position.value = mine?.text ?? "";
    this.reach.value = mine?.reach ?? USUAL_REACH_M;
    this.accuracy = mine?.accuracy ?? null;
    this.say(mine);
  }

  /** What is in the boxes for the table `key`, or null where it cannot be used; it says so. */
  given(key) {
    this.key = key;
    const made = placeGiven({ text: this.position.value, accuracy: this.accuracy, reach: this.reach.value, key });
    this.say(made);
    return made && !made.problem ? made : null;
  }

  say(made) {
    const note = place("setup-place-note");
    note.className = made?.problem ? "field__error" : "table-note";
    note.textContent = made?.problem ?? sentenceOf(made);
  }

  listen() {
    if (!navigator.geolocation) {
      place("setup-locate-note").textContent = say("This phone tells no place. Type it.");
      return;
    }
    const button = place("setup-locate");
    const usual = button.textContent;
    button.textContent = say("That is good enough: stop listening");
    place("setup-locate-note").textContent = say("Listening for satellites …");
    this.stop = watchPlace({
      onFix: (fix) => {
        this.position.value = `${fix.latitude.toFixed(6)}, ${fix.longitude.toFixed(6)}`;
        this.accuracy = Math.max(1, Math.ceil(fix.accuracy));
        this.given(this.key);
      },
      onEnd: ({ best, reason }) => {
        this.stop = null;
        button.textContent = usual;
        const isTaken = best && this.accuracy !== null;
        place("setup-locate-note").textContent = isTaken
          ? say("Taken, good to {m} m as the phone says.", { m: this.accuracy })
          : (reason ?? "");
        if (isTaken) this.onChange();
      },
    });
  }
}

const sentenceOf = (made) =>
  made
    ? say("Each find keyed here gets this place, {error}.", { error: `±\u00a0${errorOf(made)}\u00a0m` })
    : say("Without a place, every find keyed here waits on the bench until somebody gives it one.");
