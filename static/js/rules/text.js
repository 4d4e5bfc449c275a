// Text handled as Python handles it: blanks, figures, letters and quoting are not quite the same in JavaScript.
// Patterns that use these pieces need the flag `u`.

import { floatText } from "./printed.js";

/** Inside [ ]: what `\s`, strip() and split() of Python take for a blank (no U+FEFF, but U+001C to U+001F and U+0085). */
export const BLANK = "\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
/** Inside [ ]: what `\w` of Python takes for part of a word; accents standing alone are none. */
export const WORD = "\\p{L}\\p{N}_";
/** One letter or numeral that is no decimal figure: `[^\W\d_]` of Python. */
export const LETTER = "[\\p{L}\\p{Nl}\\p{No}]";

const LEADING = new RegExp(`^[${BLANK}]+`, "u");
const TRAILING = new RegExp(`[${BLANK}]+$`, "u");
const RUN = new RegExp(`[${BLANK}]+`, "u");

/** `text.strip()`. */
export function strip(text) {
  return text.replace(LEADING, "").replace(TRAILING, "");
}

/** `text.strip(signs)`: those characters taken off both ends. */
export function stripSigns(text, signs) {
  let from = 0;
  let to = text.length;
  while (from < to && signs.includes(text[from])) from += 1;
  while (to > from && signs.includes(text[to - 1])) to -= 1;
  return text.slice(from, to);
}

/** `text.split()`: words between blanks, none for a text of blanks. */
export function splitBlanks(text) {
  return text.split(RUN).filter((word) => word !== "");
}

/** `len(text)`: characters, where an emoji is one. */
export function lengthOf(text) {
  let count = 0;
  for (const _ of text) count += 1;
  return count;
}

/** `text[:most]`, by characters. */
export function firstOf(text, most) {
  return text.length <= most ? text : [...text].slice(0, most).join("");
}

/** Decimal figures of any script as 0 to 9, which is how Python's float() and int() read them. */
export function plainFigures(text) {
  return text.replace(/(?![0-9])\p{Nd}/gu, (sign) => String(figureOf(sign.codePointAt(0))));
}

/** Figures stand in runs of ten from 0 to 9; runs may follow upon each other. */
function figureOf(code) {
  let before = 0;
  while (/\p{Nd}/u.test(String.fromCodePoint(code - before - 1))) before += 1;
  return before % 10;
}

/** `text.casefold()`. */
export function casefold(text) {
  let folded = "";
  for (const sign of text) folded += folding(sign);
  return folded;
}

function folding(sign) {
  if (sign === "\u1e9e") return "ss"; // capital sharp s
  if (sign === "\u0131") return sign; // the dotless i has a capital in common with the dotted one, and is no i
  if (/[\u13a0-\u13f5]/u.test(sign)) return sign; // Cherokee folds to its capitals
  if (/[\u13f8-\u13fd\uab70-\uabbf]/u.test(sign)) return sign.toUpperCase();
  return [...sign.toUpperCase()].map((each) => each.toLowerCase()).join("");
}

/** `text.islower()`: some letter with case, and none that is a capital. */
export function isLower(text) {
  return /\p{Lowercase}/u.test(text) && !/[\p{Uppercase}\p{Lt}]/u.test(text);
}

/** `text.isupper()`. */
export function isUpper(text) {
  return /\p{Uppercase}/u.test(text) && !/[\p{Lowercase}\p{Lt}]/u.test(text);
}

/** `repr(text)`: in quotes, with what cannot be seen written out. */
export function quoted(text) {
  const quote = text.includes("'") && !text.includes('"') ? '"' : "'";
  const shown = text.replace(/[\p{C}\p{Z}\\'"]/gu, (sign) => {
    if (sign === " " || ((sign === "'" || sign === '"') && sign !== quote)) return sign;
    return NAMED[sign] ?? (sign === quote ? `\\${sign}` : hexOf(sign.codePointAt(0)));
  });
  return `${quote}${shown}${quote}`;
}

const NAMED = { "\n": "\\n", "\r": "\\r", "\t": "\\t", "\\": "\\\\" };

function hexOf(code) {
  const hex = code.toString(16);
  if (code < 0x100) return `\\x${hex.padStart(2, "0")}`;
  return code < 0x10000 ? `\\u${hex.padStart(4, "0")}` : `\\U${hex.padStart(8, "0")}`;
}

/** For sort(): the order of Python, by character; JavaScript's own order takes an emoji for two halves. */
export function byCharacter(one, other) {
  const [a, b] = [[...one], [...other]];
  for (let i = 0; i < Math.min(a.length, b.length); i += 1) {
    if (a[i] !== b[i]) return a[i].codePointAt(0) - b[i].codePointAt(0);
  }
  return a.length - b.length;
}

/** `repr()` of what JSON can hold. */
export function shown(value) {
  if (value === null || value === undefined) return "None";
  if (typeof value === "boolean") return value ? "True" : "False";
  if (typeof value === "string") return quoted(value);
  if (typeof value === "number") return Number.isInteger(value) ? String(BigInt(value)) : floatText(value);
  if (Array.isArray(value)) return `[${value.map(shown).join(", ")}]`;
  return `{${Object.entries(value).map(([key, held]) => `${quoted(key)}: ${shown(held)}`).join(", ")}}`;
}
