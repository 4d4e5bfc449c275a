// Slips of the pen: a measurement that is outside, but within after x10, /10, x25.4 or /25.4; as ledger/traits/typing_slips.py.
// The value is never changed: the slip only says which other unit would explain it.

import { decide } from "./outcome.js";
import { numberText, withUnit } from "./units.js";

const TENFOLD = "a unit of ten was mistaken (cm, mm) or a decimal sign misplaced";
const FACTORS = [
  [10, TENFOLD],
  [0.1, TENFOLD],
  [25.4, "inches were taken for millimetres"],
  [1 / 25.4, "millimetres were taken for inches"],
];

/** {factor, corrected, sentence} of the first factor that brings an `outside` measurement within, else null. */
export function findSlip(seen, known, band) {
  if (!seen.points.length || decide(seen, known, band) !== "outside") return null;
  for (const [factor, reason] of FACTORS) {
    const points = seen.points.map(([x, expanded]) => [x * factor, expanded * factor]);
    if (decide({ ...seen, points }, known, band) === "within") return slipOf(seen, factor, reason);
  }
  return null;
}

function slipOf(seen, factor, reason) {
  const typed = seen.points.at(-1)[0];
  const corrected = typed * factor;
  const [was, would] = [typed, corrected].map((value) => withUnit(numberText(value), seen.trait.unit));
  const sentence = `${was} is outside, ${would} would be within: perhaps ${reason}. The value was left as it is.`;
  return { factor, corrected, sentence };
}
