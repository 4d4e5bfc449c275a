// Slips of the pen: a measurement that is outside, but within after x10, /10, x25.4 or /25.4; as ledger/traits/typing_slips.py.
// The value is never changed: the slip only says which other unit would explain it.

import { decide } from "./outcome.js";
import { numberText, withUnit } from "./units.js";
import { say } from "../words.js";

const TENFOLD = say("a unit of ten was mistaken (cm, mm) or a decimal sign misplaced");
const FACTORS = [
  [10, TENFOLD],
  [0.1, TENFOLD],
  [25.4, say("inches were taken for millimetres")],
  [1 / 25.4, say("millimetres were taken for inches")],
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
  const was = seen.points.at(-1)[0];
  const corrected = was * factor;
  const shown = (value) => withUnit(numberText(value), seen.trait.unit);
  const sentence = say(
    "{typed} is outside, {corrected} would be within: perhaps {reason}. The value was left as it is.",
    { typed: shown(was), corrected: shown(corrected), reason },
  );
  return { factor, corrected, sentence };
}
