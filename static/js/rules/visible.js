// Typed text without the signs that no eye can see: what ledger/record/visible.py makes of a box of one line.

const BREAK = /[\n\r\t\v\f\x85\u2028\u2029]/u;
const JOINER = /[\u200c\u200d]/u;
const JOINED =
  /[\u0600-\u08ff\u0900-\u0dff\u0f00-\u109f\u1780-\u18af\u1b00-\u1bbf\ua840-\ua87f\ua980-\ua9df\uaa60-\uaa7f\ufb50-\ufdff\ufe70-\ufefc\u{11000}-\u{1137f}]/u;
const VIRAMA =
  /[\u094d\u09cd\u0a4d\u0acd\u0b4d\u0bcd\u0c4d\u0ccd\u0d4d\u0dca\u1039\u103a\u17d2\u1b44\ua9c0]/u;
const DRAWN = /[\u0600-\u0605\u06dd\u070f\u0890\u0891\u08e2\u{110bd}\u{110cd}]/u;
const HIDDEN = /[\p{Cc}\p{Cf}\p{Cs}\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0]/u;

/** The text as the ledger stores it. */
export function visible(text) {
  if (/^[\x20-\x7e]*$/.test(text)) return text;
  const signs = [...text];
  return signs.map((sign, place) => seen(sign, signs[place - 1] ?? "", signs[place + 1] ?? "")).join("");
}

function seen(sign, before, after) {
  if (BREAK.test(sign)) return " ";
  if (JOINER.test(sign)) return JOINED.test(before) && (VIRAMA.test(before) || JOINED.test(after)) ? sign : "";
  return HIDDEN.test(sign) && !DRAWN.test(sign) ? "" : sign;
}
