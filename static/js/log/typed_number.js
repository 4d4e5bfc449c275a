// What the ledger will surely ask about a number typed into one of the form's plain boxes (ledger/finds/fields.py). Pure.
// Where a box is not sure to be refused, nothing is said of it.

import { say } from "../words.js";

const NUMBER = /^[-+]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)$/;
const TWO_WAYS = /^[-+]?[0-9]{1,3},[0-9]{3}$/;
const OTHER_FIGURES = /(?![0-9])\p{Nd}/u;
const BREAK = /[\n\r\t\v\f\x85\u2028\u2029]/g;
const UNSEEN = /[\p{Cc}\p{Cf}\p{Cs}\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0]/gu;

/** A typed text without the signs that no eye can see: the ledger leaves them out as well. */
export const seenOf = (text) => text.replace(BREAK, " ").replace(UNSEEN, "");

/** A sentence, or an empty text. `box`: {unit, least, most, isWhole}; `least` and `most` are numbers. */
export function numberProblem(typed, { unit, least, most, isWhole }) {
  let text = seenOf(typed).replace(/[\u2212\u2013]/g, "-").replace(/[\u00a0\u202f]/g, " ").trim();
  text = text.replace(/^\u00b1+/, "").trim();
  if (text.toLowerCase().endsWith(unit.toLowerCase())) text = text.slice(0, text.length - unit.length).trim();
  if (!text) return "";
  if (TWO_WAYS.test(text)) {
    const ways = { decimal: text.replace(",", "."), whole: text.replace(",", "") };
    return say("{text} can be {decimal} or {whole}. It was kept as typed; type it without the comma.", { text, ...ways });
  }
  if (!NUMBER.test(text)) {
    // Figures of other scripts are numbers to the ledger.
    if (OTHER_FIGURES.test(text)) return "";
    return say("“{text}” is not read as a number of {unit}. It was kept as typed; type digits only, such as 12,5.", { text, unit });
  }
  const number = Number(text.replace(",", "."));
  if (!(number >= least && number <= most)) {
    const allowed = say("{low} to {high}", { low: least, high: most });
    return say("{number} {unit} cannot be stored; {allowed} can. It was kept as typed; correct it here.", { number: text, unit, allowed });
  }
  if (isWhole && !Number.isInteger(number)) {
    return say("{number} is not a whole number. It was kept as typed; type whole {unit}.", { number: text, unit });
  }
  return "";
}
