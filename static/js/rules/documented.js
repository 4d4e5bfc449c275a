// What the sources document of a trait, made ready for one condition of the specimen; as ledger/traits/documented.py.

import { numberText, withUnit } from "./units.js";

export const MONTH_NAMES = [
  "January", "February", "March", "April", "May", "June",
  "July", "August", "September", "October", "November", "December",
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
 * By place of the taxon, all that is documented of the trait for a reading made so (Documented), or null. Kept in memo.
 */
export function documented(reference, trait, state, age) {
  const key = `documented/${trait.code}/${state}/${age}`;
  let found = reference.memo.get(key);
  if (found === undefined) {
    found = reference.names.map((taxon) => {
      const rows = reference.rangesFor(taxon, trait.code);
      return rows.length ? new Documented(trait, rows, state, age) : null;
    });
    reference.memo.set(key, found);
  }
  return found;
}

/**
 * Rows of one taxon and trait for one condition: `yes` judge, `maybe` may only excuse, since a condition was not noted.
 *
 * `intervals` are those of undoubted rows, as [low, high]. A missing bound is that of the other sources; a missing lower
 * one of a trait that grows is none, since "up to 80 mm" says that smaller ones occur. `good` and `allowed` are bits of
 * states (or months) of undoubted and of all judging rows; `excused` those of all rows that may judge.
 */
export class Documented {
  constructor(trait, rows, state, age) {
    const verdicts = rows.map((row) => judges(row.condition, state, age));
    this.trait = trait;
    this.rows = rows;
    this.yes = rows.filter((_, i) => verdicts[i] === "yes");
    this.maybe = rows.filter((_, i) => verdicts[i] === "maybe");
    const sure = this.yes.filter((row) => !row.doubtful);
    const field = trait.kind === "months" ? "months" : "bits";
    this.good = union(sure, field);
    this.allowed = union(this.yes, field);
    this.excused = this.allowed | union(this.maybe, field);
    this.lowest = null;
    this.highest = null;
    this.intervals = [];
    if (trait.kind === "number") this.#bound(sure);
  }

  #bound(sure) {
    [this.lowest, this.highest] = outermost(this.yes);
    const openLow = this.trait.growth ? -Infinity : (this.lowest ?? -Infinity);
    const openHigh = this.highest ?? Infinity;
    this.intervals = sure.map((row) => [row.lowest ?? openLow, row.highest ?? openHigh]);
  }

  /** What is documented, in words. */
  get text() {
    this.said ??= this.#words();
    return this.said;
  }

  #words() {
    const shown = this.yes.length ? this.yes : this.rows;
    if (this.trait.kind === "states") {
      const bits = union(shown, "bits");
      return this.trait.states.filter((_, i) => bits & (1 << i)).map((one) => one.label.toLowerCase()).join(" or ");
    }
    if (this.trait.kind === "months") return monthsText(union(shown, "months"));
    return rangeText(...outermost(shown), this.trait.unit);
  }
}

/** The names of the months of a sum of bits, from January on. */
export function monthsText(bits) {
  return MONTH_NAMES.filter((_, i) => bits & (1 << i)).join(", ");
}

/** `4–5 per mm`, `up to 80 mm`, `3 mm or more`. */
export function rangeText(low, high, unit) {
  if (low === null && high === null) return "no bound";
  if (low === null) return `up to ${withUnit(numberText(high), unit)}`;
  if (high === null) return `${withUnit(numberText(low), unit)} or more`;
  if (low === high) return withUnit(numberText(low), unit);
  return withUnit(`${numberText(low)}–${numberText(high)}`, unit);
}

function union(rows, field) {
  let bits = 0;
  for (const row of rows) bits |= row[field];
  return bits;
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
