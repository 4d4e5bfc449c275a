// What a reading may hold; the same as validate() of ledger/traits/readings.py.

import { floatText, general } from "./printed.js";
import { SpecimenError } from "./said.js";
import { quoted, shown } from "./text.js";

export const SPECIMEN_STATES = ["fresh", "moist", "air-dry", "oven-dry", "weathered"];
export const AGES = ["young", "mature", "old", "mixed"];
export const LOOKED = ["read", "not looked", "cannot say", "absent"];
const MOST = 1e9;

/** Throw SpecimenError if the reading cannot be one of that trait: wrong kind, state, unit or impossible number. */
export function validate(trait, reading) {
  const where = `reading ${trait.code}`;
  oneOf(where, "looked", reading.looked, LOOKED);
  if (reading.state !== null) oneOf(where, "state", reading.state, SPECIMEN_STATES);
  if (reading.age !== null) oneOf(where, "age", reading.age, AGES);
  const bounded = reading.low !== null || reading.high !== null;
  if (reading.looked !== "read" && (reading.values.length || bounded || reading.states.length)) {
    throw new SpecimenError(`${where}: says ${quoted(reading.looked)} and yet gives something that was seen`);
  }
  if (trait.kind === "states") {
    validateStates(trait, reading, where);
    if (reading.values.length || bounded) {
      throw new SpecimenError(`${where}: is chosen from states, not measured`);
    }
    return;
  }
  if (reading.states.length) throw new SpecimenError(`${where}: is a number in ${trait.unit}, it has no states`);
  validateNumbers(trait, reading, where);
}

function validateStates(trait, reading, where) {
  const known = trait.states.map((state) => state.code);
  const unknown = reading.states.find((state) => !known.includes(state));
  if (unknown !== undefined) {
    throw new SpecimenError(`${where}: unknown state ${quoted(unknown)}; known are ${known.join(", ")}`);
  }
}

function validateNumbers(trait, reading, where) {
  const { values, low, high, n, resolution } = reading;
  if (reading.unit !== null && reading.unit !== trait.unit) {
    throw new SpecimenError(`${where}: is in ${shown(reading.unit)}, convert it to ${trait.unit} first`);
  }
  if (values.length && (low !== null || high !== null)) {
    throw new SpecimenError(`${where}: give either values or low and high, not both`);
  }
  positive(where, "low", low);
  positive(where, "high", high);
  positive(where, "resolution", resolution);
  for (const value of values) positive(where, "value", value);
  if (low !== null && high !== null && low > high) {
    throw new SpecimenError(`${where}: low ${general(low)} is above high ${general(high)}`);
  }
  if (n !== null && (n < 1 || (values.length && n !== values.length))) {
    const count = values.length ? ` with ${values.length} values` : "";
    throw new SpecimenError(`${where}: n = ${shown(n)}${count} does not fit`);
  }
  const given = [...values, low, high].filter((number) => number !== null);
  if (trait.kind === "months" && !given.every((month) => Number.isInteger(month) && month >= 1 && month <= 12)) {
    throw new SpecimenError(`${where}: a month is a whole number from 1 to 12`);
  }
}

function positive(where, name, number) {
  if (number === null) return;
  if (!Number.isFinite(number) || number > MOST) {
    throw new SpecimenError(`${where}: ${name} ${floatText(number)} is not a usable number`);
  }
  if (number <= 0) {
    const hint = name === "resolution" ? "" : " (if it is not there at all, say looked: absent)";
    throw new SpecimenError(`${where}: ${name} ${general(number)} is not above zero${hint}`);
  }
}

function oneOf(where, name, given, known) {
  if (!known.includes(given)) {
    throw new SpecimenError(`${where}: ${name} ${shown(given)} is none of ${known.join(", ")}`);
  }
}
