// Units people write, and how many of the trait's unit each is; the same as ledger/traits/units.py.
// Conversions are shown, never silent.

import { general, roundedTo, whole } from "./printed.js";
import { splitBlanks } from "./text.js";
import { say } from "../words.js";

// One of the named unit is so many of the trait's unit. An inch is 25.4 mm by definition (1959 agreement).
const FACTORS = new Map([
  ["mm", new Map([
    ["mm", 1], ["cm", 10], ["dm", 100], ["m", 1000], ["um", 0.001],
    ["in", 25.4], ["inch", 25.4], ["inches", 25.4], ['"', 25.4],
  ])],
  ["um", new Map([["um", 1], ["micron", 1], ["microns", 1], ["nm", 0.001], ["mm", 1000]])],
  ["1/mm", new Map([
    ["1/mm", 1], ["/mm", 1], ["per mm", 1],
    ["1/cm", 0.1], ["/cm", 0.1], ["per cm", 0.1],
    ["1/in", 1 / 25.4], ["/in", 1 / 25.4], ["per in", 1 / 25.4], ["per inch", 1 / 25.4],
  ])],
  ["month", new Map([["month", 1]])],
]);
const PRINTED = new Map([["um", "µm"], ["month", ""]]);

/** What to multiply a number written in `written` by to have it in `unit`; null if it cannot be converted. */
export function factorTo(unit, written) {
  if (written === null || written === undefined) return 1;
  const name = splitBlanks(written.replaceAll("\u00b5", "u").replaceAll("\u03bc", "u").toLowerCase()).join(" ");
  // "je mm" is what the German screens print.
  return FACTORS.get(unit)?.get(name.startsWith("je ") ? `per ${name.slice(3)}` : name) ?? null;
}

/** The units that can be written for a trait measured in `unit`. */
export function accepted(unit) {
  return [...(FACTORS.get(unit)?.keys() ?? [])];
}

/** A number with its unit as people print it: `58 mm`, `5.2 µm`, `4 per mm`. */
export function withUnit(number, unit) {
  if (unit === "1/mm") return say("{number} per mm", { number });
  return `${number} ${PRINTED.get(unit ?? "") ?? unit ?? ""}`.trimEnd();
}

/** A number without superfluous digits: 58, 4.5, 4.33. */
export function numberText(value) {
  return Math.abs(value) < 10000 ? general(roundedTo(value, 4), 15) : whole(value);
}
