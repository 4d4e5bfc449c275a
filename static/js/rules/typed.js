// Measurements as people type them: `3,5 4 4`, `4-5 n=3`, `(3-)4-5(-6)`; the same as ledger/traits/typed.py.
// What can be read in two ways is refused with both readings shown; nothing is guessed.

import { SaidError } from "./said.js";
import { BLANK, WORD, firstOf, lengthOf, plainFigures, quoted, strip } from "./text.js";
import { accepted, factorTo, numberText, withUnit } from "./units.js";
import { say } from "../words.js";

/** Text that is not one clear measurement; `readings` holds the ways it could be read, if there are two. */
export class TypedError extends SaidError {
  constructor(message, readings = []) {
    super(message);
    this.readings = readings;
  }
}

const D = "\\p{Nd}"; // a figure of any script, as Python has it
const S = `[${BLANK}]`;
const NUMBER = `${D}+(?:[.,]${D}+)?|[.,]${D}+`;
const pattern = (shape, flags = "u") => new RegExp(shape, flags);
const whole = (shape) => pattern(`^(?:${shape})$`);

const EACH_NUMBER = pattern(NUMBER, "gu");
const COUNT = pattern(`[,;]?${S}*\\(?(?<![${WORD}])[nN]${S}*=?${S}*(${D}{1,6})${S}*\\)?${S}*$`);
const UNIT = pattern(`(?<=[)${BLANK}\\p{Nd}])((?:1/|/|(?:per|je)${S}+)?(?:[a-zA-Zµμ]+)|")\\.?${S}*$`);
const RANGE = whole(
  `(?:\\(${S}*(${NUMBER})${S}*-${S}*\\)${S}*)?(${NUMBER})${S}*-${S}*(${NUMBER})(?:${S}*\\(${S}*-${S}*(${NUMBER})${S}*\\))?`,
);
const LIST = whole(`(?:${NUMBER})(?:(?:${S}*;${S}*|${S}*,${S}+|${S}+)(?:${NUMBER}))*`);
const LETTER_FOR_FIGURE =
  /(?<![a-zA-Z0-9])(?:[0-9.,]*[0-9][.,]?[oOlI]|[oOlI][.,]?[0-9])[0-9.,oOlI]*(?![a-zA-Z0-9])/;
const BETWEEN = pattern(`[;()${BLANK}-]+`);
const COMMA_BETWEEN = pattern(`(?<=${D}),(?=${D})`, "gu");
const THOUSANDS = whole(`${D}{1,3},${D}{3}`);
const THOUSANDS_AND_DECIMALS = whole(`${D}{1,3}\\.${D}{3},${D}+`);
const MANY_COMMAS = whole(`${D}+(?:,${D}+){2,}`);
const ONE_COMMA = whole(`${D}+,${D}+`);
const POINT = pattern(`${D}\\.${D}`);
const THREE_IN_A_ROW = whole(`(?:${NUMBER})(?:${S}*-${S}*(?:${NUMBER})){2}`);

// What may be typed for a measure of that unit: one number, several, a range.
const LENGTHS = ["35", "30 35 45", "30-45 n=3"];
const SUCH_AS = { "1/mm": ["4", "4 5 4", "3-5 n=10"], um: ["8.5", "8 8.5 9.5", "8-10 n=20"] };

/**
 * Read typed text for a trait measured in `unit`; a unit at the end (3.5 cm) is converted and told.
 *
 * Gives {unit, values, lowExtreme, low, high, highExtreme, n, writtenUnit}: either values, or low and high.
 */
export function parseMeasure(text, unit) {
  if (lengthOf(text) > 500) {
    throw new TypedError(say("more than 500 characters is no measurement; type the numbers only"));
  }
  let rest = strip(text.replace(/[–—−‐‑]/g, "-").replace(/[\u00a0\u202f]/g, " "));
  const count = COUNT.exec(rest);
  const n = count ? Number(plainFigures(count[1])) : null;
  if (count) rest = strip(rest.slice(0, count.index));
  if (n === 0) throw new TypedError(say("n = 0 means nothing was measured; leave the box empty then"));
  refuseLetterForFigure(rest);
  const scale = takeUnit(rest, unit);
  const [one, several, span] = SUCH_AS[unit] ?? LENGTHS;
  if (!scale.rest) {
    throw new TypedError(say("no number was typed; type one or several, such as {one} or {span}", { one, span }));
  }
  refuseTwoReadings(scale.rest);
  const made = readRange(scale, unit, n) ?? readList(scale, unit, n);
  if (made === null) {
    throw new TypedError(
      say("{text} is not read as numbers; type {one}, or {several}, or {span}", {
        text: quoted(strip(text)), one, several, span,
      }),
    );
  }
  return made;
}

/** Low and high to keep as a reading: with the extremes where single pieces are compared, else without. */
export function boundsOf(measure, compared) {
  if (measure.low === null || measure.high === null) return null;
  if (compared !== "individual") return [measure.low, measure.high];
  return [measure.lowExtreme ?? measure.low, measure.highExtreme ?? measure.high];
}

/** `5o` is mostly 50 on a small keyboard; it is asked about and not mended. */
function refuseLetterForFigure(rest) {
  const match = LETTER_FOR_FIGURE.exec(rest);
  if (!match) return;
  const letter = match[0].replace(/[0-9.,]/g, "")[0];
  const meant = match[0].replace(/[oO]/g, "0").replace(/[lI]/g, "1");
  throw new TypedError(
    say("{typed} has the letter {letter} in a number; type {meant} if that is meant", { typed: match[0], letter, meant }),
  );
}

function takeUnit(rest, unit) {
  const match = UNIT.exec(rest);
  if (!match) return { rest, factor: 1, written: null };
  const factor = factorTo(unit, match[1]);
  if (factor === null) {
    const units = accepted(unit).join(", ");
    throw new TypedError(say("unit {unit} is not known here; use {units}", { unit: quoted(match[1]), units }));
  }
  return { rest: strip(rest.slice(0, match.index)), factor, written: factor === 1 ? null : match[1] };
}

/** Refuse the texts that two honest readers would take for different numbers. */
function refuseTwoReadings(rest) {
  const tokens = rest.split(BETWEEN);
  for (const token of tokens) refuseToken(token);
  const comma = tokens.find((token) => ONE_COMMA.test(token));
  if (comma !== undefined && tokens.some((token) => POINT.test(token))) {
    const point = comma.replaceAll(",", ".");
    throw new TypedError(
      say(
        "{typed} has a decimal point and a comma: {comma} can be {point} or two numbers; type one kind of "
          + "decimal sign",
        { typed: rest, comma, point },
      ),
      [rest.replaceAll(comma, point), rest.replaceAll(comma, comma.replaceAll(",", " "))],
    );
  }
  if (THREE_IN_A_ROW.test(rest)) {
    const [low, middle, high] = rest.split("-").map(strip);
    const ways = [`${low} ${middle} ${high}`, `${low}-${high}`];
    throw new TypedError(
      say("{typed} can be three values ({values}) or a range with its mean ({range}); type one of them", {
        typed: rest, values: ways[0], range: ways[1],
      }),
      ways,
    );
  }
}

function refuseToken(token) {
  let ways;
  let message;
  if (THOUSANDS.test(token)) {
    ways = [token.replaceAll(",", "."), token.replaceAll(",", "")];
    message = say("{typed} can be {one} or {other}; type it without the comma", told(token, ways));
  } else if (THOUSANDS_AND_DECIMALS.test(token)) {
    ways = [token.replaceAll(".", "").replaceAll(",", "."), token.replaceAll(",", " ")];
    message = say("{typed} can be {one} or {other}; type one separator only", told(token, ways));
  } else if (MANY_COMMAS.test(token)) {
    const parts = token.split(",");
    const pairs = [];
    for (let i = 0; i < parts.length; i += 2) pairs.push(parts.slice(i, i + 2).join("."));
    ways = [parts.join(" "), pairs.join(" ")];
    message = say("{typed} can be {one} or {other}; put spaces between the numbers", told(token, ways));
  } else return;
  throw new TypedError(message, ways);
}

const told = (typed, [one, other]) => ({ typed, one, other });

function readRange({ rest, factor, written }, unit, n) {
  const match = RANGE.exec(rest);
  if (!match) return null;
  const [lowExtreme, low, high, highExtreme] = match.slice(1, 5).map((part) => numberOf(part, factor));
  const given = [lowExtreme, low, high, highExtreme].filter((bound) => bound !== null);
  if (given.some((bound, i) => i > 0 && given[i - 1] > bound)) {
    const shown = withUnit(given.map(numberText).join(" "), unit);
    throw new TypedError(say("the bounds must rise, they read {bounds}; swap them", { bounds: shown }));
  }
  return { unit, values: [], lowExtreme, low, high, highExtreme, n, writtenUnit: written };
}

function readList({ rest, factor, written }, unit, n) {
  // Where a point stands it is the decimal sign, so a comma can only part numbers: 3.5,4
  const line = rest.includes(".") ? rest.replace(COMMA_BETWEEN, " ") : rest;
  if (!LIST.test(line)) return null;
  const values = line.match(EACH_NUMBER).map((part) => numberOf(part, factor));
  const made = { unit, values, lowExtreme: null, low: null, high: null, highExtreme: null, n: null, writtenUnit: written };
  if (n !== null && values.length === 1) return { ...made, values: [], low: values[0], high: values[0], n };
  if (n !== null && n !== values.length) {
    throw new TypedError(
      say("n = {n}, but {many} numbers were typed; correct one of them", { n, many: values.length }),
    );
  }
  return made;
}

function numberOf(text, factor) {
  if (text === undefined) return null;
  let number = Number(plainFigures(text.replaceAll(",", ".")));
  if (factor !== 1) number *= factor;
  if (!Number.isFinite(number) || number > 1e9) {
    throw new TypedError(say("{typed} is too large to be a measurement", { typed: firstOf(text, 20) }));
  }
  if (number <= 0) {
    throw new TypedError(say("0 is no measurement; if it is not there at all, choose that instead"));
  }
  return number;
}
