// Names and hosts for a tap instead of typing: those of today, and of the reference on this phone as they are typed.
import { element } from "../log/pieces.js";
import { keptReference } from "./reference.js";
import { mostUsed } from "./table_day.js";

const MOST = 4;

export class Offers {
  /** `today()` gives the rows of the day, `hosts()` the hosts typed today; `onTake()` is told when one is taken. */
  constructor(form, { today, hosts, onTake }) {
    this.boxes = [
      { box: form.elements.name, place: document.getElementById("offer-names"), known: [], used: () => today().map(({ name }) => name), isName: true },
      { box: form.elements.host, place: document.getElementById("offer-hosts"), known: [], used: hosts },
    ];
    this.onTake = onTake;
    keptReference().then((pack) => {
      if (!pack) return;
      this.boxes[0].known = pack.taxa.map(([name]) => name);
      this.boxes[1].known = [...new Set(Object.values(pack.form?.hosts ?? {}).flat())];
    });
  }

  draw() {
    for (const { box, place, known, used, isName } of this.boxes) {
      const typed = box.value.trim();
      const offered = offersFor(typed, { used: used(), known });
      place.replaceChildren(...offered.map((word) => this.button(box, word, isName)));
    }
  }

  button(box, word, isName) {
    const button = element("button", "", { type: "button", className: "button table-offer" });
    button.append(isName ? element("i", word) : word);
    button.addEventListener("click", () => {
      box.value = word;
      this.onTake();
    });
    return button;
  }
}

/** Nothing typed: what was used most today. Else what begins like it, word by word; nothing more once it is typed out. */
export function offersFor(typed, { used, known }) {
  if (!typed) return mostUsed(used, MOST);
  const words = typed.toLowerCase().split(/\s+/);
  const fits = (name) => {
    const parts = name.toLowerCase().split(/\s+/);
    let from = 0;
    return words.every((word) => {
      const at = parts.findIndex((part, place) => place >= from && part.startsWith(word));
      from = at + 1;
      return at >= 0;
    });
  };
  const all = [...new Set([...mostUsed(used, used.length), ...known])];
  if (all.some((name) => name.toLowerCase() === typed.toLowerCase())) return [];
  return all.filter(fits).slice(0, MOST);
}
