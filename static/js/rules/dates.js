// A day as the log form reads it: the four ways of `found_on` in ledger/finds/forms.py, as strptime() takes them.

import { BLANK, plainFigures, strip } from "./text.js";

const MONTHS = [
  "january", "february", "march", "april", "may", "june",
  "july", "august", "september", "october", "november", "december",
];
const YEAR = "(?<year>\\p{Nd}{4})";
const MONTH = "(?<month>1[0-2]|0[1-9]|[1-9])";
const DAY = "(?<day>3[0-1]|[1-2]\\p{Nd}|0[1-9]|[1-9]| [1-9])";
const S = `[${BLANK}]+`;
const SHAPES = [
  `${YEAR}-${MONTH}-${DAY}`,
  `${DAY}\\.${MONTH}\\.${YEAR}`,
  `${DAY}${S}(?<word>${MONTHS.map((month) => inAnyCase(month.slice(0, 3))).join("|")})${S}${YEAR}`,
  `${DAY}${S}(?<word>${MONTHS.map(inAnyCase).join("|")})${S}${YEAR}`,
].map((shape) => new RegExp(`^${shape}`, "u"));

/** {year, month, day} of a typed day, or null where it is not read as one. */
export function dayOf(text) {
  const typed = strip(text);
  for (const shape of SHAPES) {
    const match = shape.exec(typed);
    if (match === null || match[0].length !== typed.length) continue;
    const { year, month, day, word } = match.groups;
    const date = {
      year: Number(plainFigures(year)),
      month: month === undefined ? monthNamed(word) : Number(month),
      day: Number(plainFigures(strip(day))),
    };
    if (date.year > 0 && date.day <= daysOf(date.year, date.month)) return date;
  }
  return null;
}

function monthNamed(word) {
  return MONTHS.findIndex((month) => month.startsWith(word.toLowerCase())) + 1;
}

function daysOf(year, month) {
  if (month !== 2) return [4, 6, 9, 11].includes(month) ? 30 : 31;
  return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0 ? 29 : 28;
}

function inAnyCase(word) {
  return word.replace(/[a-z]/g, (letter) => `[${letter}${letter.toUpperCase()}]`);
}
