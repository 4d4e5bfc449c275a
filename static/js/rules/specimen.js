// A specimen from a JSON object, as ledger/traits/specimen_json.py reads it: numbers converted to each trait's unit,
// every entry looked through, and refused with the same sentence.
//
// JavaScript does not tell 3.0 from 3, puts keys like "12" before the others, and knows no whole number beyond 2^53
// exactly; where a sentence quotes such a thing it may look otherwise than on the ledger.

import { AGES, SPECIMEN_STATES, validate } from "./reading.js";
import { SpecimenError } from "./said.js";
import { byCharacter, quoted, shown, splitBlanks, strip } from "./text.js";
import { accepted, factorTo } from "./units.js";

const TOP = ["id", "taxon", "state", "age", "readings"];
const READING = ["looked", "values", "low", "high", "n", "unit", "resolution", "states", "state", "age"];
// Six digits, as in the box of the form; beyond it a number is a slip.
const MOST_MEASURED = 999_999;
const MOST_VALUES = 10_000;

/**
 * {id, taxon, state, age, readings: {code: {looked, values, low, high, n, unit, resolution, states, state, age}}} with
 * every key there (null: not given) and states in order. `traits` is a Map of the vocabulary's traits by code.
 */
export function parseSpecimen(data, traits) {
  if (!isObject(data)) {
    throw new SpecimenError('a specimen is a JSON object, such as {"taxon": "...", "readings": {}}');
  }
  only(data, TOP, "specimen");
  const taxon = data.taxon ?? null;
  if (taxon !== null && (typeof taxon !== "string" || !strip(taxon))) {
    throw new SpecimenError("taxon must be a name, or be left out");
  }
  const readings = "readings" in data ? data.readings : {};
  if (!isObject(readings)) throw new SpecimenError("readings must be an object with one entry per trait");
  const parsed = {};
  for (const [code, entry] of Object.entries(readings)) {
    const trait = traits.get(code);
    if (trait === undefined) {
      throw new SpecimenError(`unknown trait ${quoted(code)}; known are ${[...traits.keys()].join(", ")}`);
    }
    parsed[code] = readingOf(trait, entry);
  }
  return {
    id: data.id ?? null,
    taxon: taxon === null ? null : splitBlanks(taxon).join(" "),
    state: word(data, "state", SPECIMEN_STATES, "specimen"),
    age: word(data, "age", AGES, "specimen"),
    readings: parsed,
  };
}

function readingOf(trait, entry) {
  const where = `reading ${trait.code}`;
  if (!isObject(entry)) throw new SpecimenError(`${where}: must be an object, such as {"values": [58]}`);
  only(entry, READING, where);
  const factor = factorOf(trait, entry, where);
  const { values = [], states = [] } = entry;
  if (!Array.isArray(values) || values.length > MOST_VALUES) {
    throw new SpecimenError(`${where}: values must be a list of numbers, 10,000 at most`);
  }
  if (!Array.isArray(states) || !states.every((state) => typeof state === "string")) {
    throw new SpecimenError(`${where}: states must be a list of words`);
  }
  const reading = {
    trait: trait.code,
    n: countOf(entry, where),
    looked: entry.looked === undefined ? "read" : entry.looked,
    values: values.map((value) => numberOf(where, "value", value, factor)),
    low: optional(where, entry, "low", factor),
    high: optional(where, entry, "high", factor),
    unit: trait.unit ?? null,
    resolution: optional(where, entry, "resolution", factor),
    states: [...new Set(states)].sort(byCharacter),
    state: word(entry, "state", SPECIMEN_STATES, where),
    age: word(entry, "age", AGES, where),
  };
  validate(trait, reading);
  const bounded = reading.low !== null || reading.high !== null;
  if (reading.looked === "read" && !(reading.values.length || reading.states.length || bounded)) {
    const what = trait.kind === "states" ? "states" : "values, or low and high";
    throw new SpecimenError(`${where}: holds no ${what}; if nobody looked, say looked: not looked`);
  }
  return reading;
}

function countOf(entry, where) {
  const n = entry.n ?? null;
  if (n === null) return null;
  // A whole number too large for JavaScript arrives as infinite.
  if (typeof n !== "number" || !(Number.isInteger(n) || Math.abs(n) === Infinity)) {
    throw new SpecimenError(`${where}: n must be a whole number`);
  }
  if (n > MOST_MEASURED) throw new SpecimenError(`${where}: n is more than 999,999; nobody measured that many`);
  return n;
}

function factorOf(trait, entry, where) {
  const unit = entry.unit ?? null;
  if (unit === null) return 1;
  if (trait.unit === null || trait.unit === undefined) {
    throw new SpecimenError(`${where}: is chosen from states, it has no unit`);
  }
  const factor = typeof unit === "string" ? factorTo(trait.unit, unit) : null;
  if (factor === null) {
    const known = accepted(trait.unit).join(", ");
    throw new SpecimenError(`${where}: unit ${shown(unit)} cannot be used, write one of ${known}`);
  }
  return factor;
}

function optional(where, entry, name, factor) {
  return (entry[name] ?? null) === null ? null : numberOf(where, name, entry[name], factor);
}

function numberOf(where, name, value, factor) {
  if (typeof value !== "number") throw new SpecimenError(`${where}: ${name} ${shown(value)} is not a number`);
  if (!Number.isFinite(value)) throw new SpecimenError(`${where}: ${name} is too large or not a number`);
  return factor === 1 ? value : value * factor;
}

function word(entry, name, known, where) {
  const given = entry[name] ?? null;
  if (given !== null && !known.includes(given)) {
    throw new SpecimenError(`${where}: ${name} ${shown(given)} is none of ${known.join(", ")}`);
  }
  return given;
}

function only(entry, known, where) {
  const strange = Object.keys(entry).find((key) => !known.includes(key));
  if (strange !== undefined) {
    throw new SpecimenError(`${where}: unknown key ${quoted(strange)}; known are ${known.join(", ")}`);
  }
}

function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
