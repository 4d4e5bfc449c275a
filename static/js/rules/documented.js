// What the sources document of a trait, made ready for one condition of the specimen; as ledger/traits/documented.py.

import { anyOf } from "./phrases.js";
import { numberText, withUnit } from "./units.js";
import { lowered, say } from "../words.js";

const MONTH_NAMES = [
  say("January"), say("February"), say("March"), say("April"), say("May"), say("June"), say("July"), say("August"),
  say("September"), say("October"), say("November"), say("December"),
];

/** "yes", "maybe" or "no": whether a row documented for `condition` judges a reading made in that state at that age. */
export function judges(condition, state, age) {
  if (condition === "any") return "yes";
  if (condition === "fresh") {
    if ((state !== null && state !== "fresh") || age === "old") return "no";
    return state === "fresh" && age !== "mixed" ? "yes" : "maybe";
  }
  if (condition === "dry") {
    if (state === null) return "maybe";
    return state === "air-dry" || state === "oven-dry" ? "yes" : "no";
  }
  if (age === condition) return "yes";
  return age === null || age === "mixed" ? "maybe" : "no";
}

/**
 * By place of the taxon, all that is documented of the trait for a reading made so (Documented), or null.
 *
 * Kept in memo: the same list comes back for conditions that no row of the trait tells apart.
 */
export function documented(reference, trait, state, age) {
  const plain = plainly(reference, trait);
  if (!plain.others.length) return plain.known;
  const key = `documented/${trait.code}/${stateGroup(state)}/${age}`;
  let found = reference.memo.get(key);
  if (found === undefined) {
    found = [...plain.known];
    for (const place of plain.others) {
      found[place] = underCondition(trait, reference.rangesAt(place, trait.code), state, age);
    }
    reference.memo.set(key, found);
  }
  return found;
}

/** What holds under any condition, `known` by place, and `others`, the places where the condition matters. */
function plainly(reference, trait) {
  const key = `plainly/${trait.code}`;
  let found = reference.memo.get(key);
  if (found === undefined) {
    found = { known: [], others: [] };
    for (let place = 0; place < reference.names.length; place += 1) {
      const rows = reference.rangesAt(place, trait.code);
      const isPlain = rows.length > 0 && rows.every((row) => row.condition === "any");
      found.known.push(isPlain ? new Documented(trait, rows, rows, []) : null);
      if (rows.length && !isPlain) found.others.push(place);
    }
    reference.memo.set(key, found);
  }
  return found;
}

/** States of a specimen that `judges` treats alike. */
function stateGroup(state) {
  if (state === "oven-dry") return "air-dry";
  return state === "weathered" ? "moist" : state;
}

function underCondition(trait, rows, state, age) {
  const yes = [];
  const maybe = [];
  for (const row of rows) {
    const verdict = judges(row.condition, state, age);
    if (verdict === "yes") yes.push(row);
    else if (verdict === "maybe") maybe.push(row);
  }
  return new Documented(trait, rows, yes, maybe);
}

/**
 * Rows of one taxon and trait for one condition: `yes` judge, `maybe` may only excuse, since a condition was not noted.
 *
 * `intervals` are those of undoubted rows, as [low, high]. A missing bound is that of the other sources; a missing lower
 * one of a trait that grows is none, since "up to 80 mm" says that smaller ones occur. `good` and `allowed` are bits of
 * states (or months) of undoubted and of all judging rows; `excused` those of all rows that may judge.
 */
export class Documented {
  constructor(trait, rows, yes, maybe) {
    this.trait = trait;
    this.rows = rows;
    this.yes = yes;
    this.maybe = maybe;
    this.good = 0;
    this.allowed = 0;
    this.excused = 0;
    this.lowest = null;
    this.highest = null;
    this.intervals = NO_INTERVALS;
    this.said = null;
    if (trait.kind === "number") bound(this);
    else gather(this, trait.kind === "months");
  }

  /** What is documented, in words. */
  get text() {
    this.said ??= wordsOf(this);
    return this.said;
  }
}

const NO_INTERVALS = Object.freeze([]);

function gather(known, isMonths) {
  for (const row of known.yes) {
    const bits = isMonths ? row.months : row.bits;
    known.allowed |= bits;
    if (!row.doubtful) known.good |= bits;
  }
  known.excused = known.allowed;
  for (const row of known.maybe) known.excused |= isMonths ? row.months : row.bits;
}

function bound(known) {
  [known.lowest, known.highest] = outermost(known.yes);
  const openLow = known.trait.growth || known.lowest === null ? -Infinity : known.lowest;
  const openHigh = known.highest === null ? Infinity : known.highest;
  known.intervals = [];
  for (const row of known.yes) {
    if (row.doubtful) continue;
    known.intervals.push([row.lowest === null ? openLow : row.lowest, row.highest === null ? openHigh : row.highest]);
  }
}

function wordsOf({ trait, rows, yes }) {
  const shown = yes.length ? yes : rows;
  if (trait.kind === "number") return rangeText(...outermost(shown), trait.unit);
  if (trait.kind === "months") return monthsText(shown.reduce((bits, row) => bits | row.months, 0));
  const bits = shown.reduce((sum, row) => sum | row.bits, 0);
  return anyOf(trait.states.filter((_, i) => bits & (1 << i)).map((one) => lowered(one.label)));
}

/** The names of the months of a sum of bits, from January on. */
export function monthsText(bits) {
  return MONTH_NAMES.filter((_, i) => bits & (1 << i)).join(", ");
}

/** `4–5 per mm`, `up to 80 mm`, `3 mm or more`. */
export function rangeText(low, high, unit) {
  if (low === null && high === null) return say("no bound");
  if (low === null) return say("up to {number}", { number: withUnit(numberText(high), unit) });
  if (high === null) return say("{number} or more", { number: withUnit(numberText(low), unit) });
  if (low === high) return withUnit(numberText(low), unit);
  return withUnit(`${numberText(low)}–${numberText(high)}`, unit);
}

/** The outermost bounds of the rows, null where none is given. */
function outermost(rows) {
  let low = null;
  let high = null;
  for (const row of rows) {
    if (row.lowest !== null && (low === null || row.lowest < low)) low = row.lowest;
    if (row.highest !== null && (high === null || row.highest > high)) high = row.highest;
  }
  return [low, high];
}
