// Names and hosts for a tap instead of typing: those of today, and of the reference on this phone as they are typed.
import { element } from "../log/pieces.js";
import { mostUsed } from "./table_day.js";
import { known, noteOn } from "./table_names.js";

const MOST = 4;

export class Offers {
  /** `today()` gives the rows of the day, `hosts()` the hosts typed today; `onTake()` is told when one is taken. */
  constructor(form, { today, hosts, onTake }) {
    const { name, host } = form.elements;
    const place = (id) => document.getElementById(id);
    this.boxes = [
      { box: name, place: place("offer-names"), known: () => known.names, used: () => today().map((row) => row.name), isName: true },
      { box: host, place: place("offer-hosts"), known: () => known.hosts.map((word) => [word, ""]), used: hosts },
    ];
    this.note = place("entry-name-note");
    this.onTake = onTake;
  }

  draw() {
    for (const { box, place, known: all, used, isName } of this.boxes) {
      const offered = offersFor(box.value.trim(), { used: used(), known: all() });
      place.replaceChildren(...offered.map((pair) => this.button(box, pair, isName)));
      if (isName) this.note.replaceChildren(...noteOn(box.value));
    }
  }

  button(box, [word, english], isName) {
    const button = element("button", "", { type: "button", className: "button table-offer" });
    // In one piece, so that a long one breaks as a line does.
    const words = element("span");
    words.append(english ? `${english} → ` : "", isName ? element("i", word) : word);
    button.append(words);
    button.addEventListener("click", () => {
      box.value = word;
      this.onTake();
    });
    return button;
  }
}

/**
 * [word to be written, English name it is offered by or ""], at most four. Nothing typed: what was used most today. Else
 * what begins like it, word by word, those that begin with it first; nothing more once one word is typed out, but where
 * it means several, these.
 */
export function offersFor(typed, { used, known: all }) {
  if (!typed) return mostUsed(used, MOST).map((word) => [word, ""]);
  const plain = typed.toLowerCase();
  const words = plain.split(/\s+/);
  const textOf = ([word, english]) => (english || word).toLowerCase();
  const fits = (pair) => {
    const parts = textOf(pair).split(/\s+/);
    let from = 0;
    return words.every((word) => {
      const at = parts.findIndex((part, place) => place >= from && part.startsWith(word));
      from = at + 1;
      return at >= 0;
    });
  };
  const today = mostUsed(used, used.length);
  const every = [...today.map((word) => [word, ""]), ...all.filter(([word, english]) => english || !today.includes(word))];
  const typedOut = every.filter((pair) => textOf(pair) === plain);
  if (typedOut.length) return typedOut.length > 1 ? typedOut.map(([word]) => [word, ""]) : [];
  const rank = (pair) => (today.includes(pair[0]) && !pair[1] ? 0 : textOf(pair).startsWith(plain) ? 1 : 2);
  return every
    .filter(fits)
    .sort((one, other) => rank(one) - rank(other))
    .slice(0, MOST);
}
