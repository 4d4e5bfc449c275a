// One reading against what is documented of one taxon: the decision, without words; as ledger/traits/outcome.py.
//
// Guard bands of the expanded uncertainty near a bound (ISO 14253-1); beyond them the band, by which sources differ.

import { documented } from "./documented.js";
import { estimate } from "./estimate.js";
import { bitsOf } from "./pack.js";

// Bounds are decimal figures and sums of them; this keeps 4.5 - 0.5 from failing against 4 by a last binary digit.
const EPSILON = 1e-9;
const SEVERITY = ["within", "cannot tell", "edge", "outside"];
const UNCALIBRATED = Object.freeze({ decisive: false, band95: null, band98: null, errorRate: null });

/**
 * All readings of a parsed specimen made ready, as a Map by trait code: {trait, looked, state, age, points, bits, months,
 * numbers}. `points` are the values compared, each [value, expanded uncertainty]; `bits` the states seen.
 */
export function see(reference, specimen) {
  const seen = new Map();
  for (const [code, reading] of Object.entries(specimen.readings)) {
    seen.set(code, seeOne(reference.traits.get(code), reading, specimen));
  }
  return seen;
}

function seeOne(trait, reading, specimen) {
  const seen = {
    trait,
    looked: reading.looked,
    state: reading.state ?? specimen.state,
    age: reading.age ?? specimen.age,
    points: [],
    bits: 0,
    months: 0,
    numbers: null,
  };
  if (seen.looked === "absent" && trait.absentMeans !== null) {
    return { ...seen, bits: trait.bitOf.get(trait.absentMeans) };
  }
  if (seen.looked !== "read") return seen;
  if (trait.kind === "states") {
    const bits = bitsOf(trait, reading.states);
    return { ...seen, bits, looked: bits ? "read" : "not looked" };
  }
  const numbers = estimate(reading, reading.resolution || trait.resolution || 0);
  if (numbers === null) return { ...seen, looked: "not looked" };
  if (trait.kind === "months") return { ...seen, numbers, months: monthsSeen(reading) };
  return { ...seen, numbers, points: pointsOf(trait, numbers) };
}

function monthsSeen(reading) {
  const given = reading.values.length ? reading.values : [reading.low, reading.high];
  return given.filter((month) => month !== null).reduce((bits, month) => bits | (1 << (month - 1)), 0);
}

function pointsOf(trait, numbers) {
  if (trait.compared === "mean") return [[numbers.mean, numbers.expandedMean]];
  if (numbers.low === numbers.high) return [[numbers.low, numbers.expandedSingle]];
  return [[numbers.low, numbers.expandedSingle], [numbers.high, numbers.expandedSingle]];
}

/** Whether there is anything to compare: read, or looked for and absent where that has a meaning of its own. */
export function holdsSomething(seen) {
  return seen.points.length > 0 || seen.bits !== 0 || seen.months !== 0;
}

/**
 * The other trait that makes this one not applicable, and what was seen of it, as {other, bits}; null if it applies.
 * What was not looked at, or could not be told, excludes nothing.
 */
export function unmetNeed(trait, seen) {
  for (const [other, needed] of trait.appliesWhen) {
    const given = seen.get(other);
    if (given === undefined || given.looked === "not looked" || given.looked === "cannot say") continue;
    if (!(given.bits & needed)) return { other, bits: given.bits };
  }
  return null;
}

/** The measured figures of a trait; where none were measured there is no band and nothing is decisive. */
export function traitCalibration(reference, code) {
  return reference.calibration.traits.get(code) ?? UNCALIBRATED;
}

/** One read and applicable trait, with what is documented of it by place of the taxon, and the two bands. */
export function columnOf(reference, seen) {
  const { decisive, band95, band98 } = traitCalibration(reference, seen.trait.code);
  const nothing = seen.trait.kind === "months" ? 0 : 1;
  return {
    seen,
    known: documented(reference, seen.trait, seen.state, seen.age),
    band: band95 ?? nothing,
    wideBand: Math.max(band98 ?? nothing, band95 ?? nothing),
    decisive,
  };
}

/** The outcome of a reading that holds something. Whether it applies is asked before. */
export function decide(seen, known, band) {
  if (known === null || !known.yes.length) return "cannot tell";
  let found;
  if (seen.points.length) found = decideNumbers(seen.points, known, seen.trait.growth, band);
  else if (seen.bits) found = decideStates(seen.bits, known);
  else found = decideMonths(seen.months, known, band);
  return found === "outside" && known.maybe.length && isExcused(seen, known) ? "cannot tell" : found;
}

/** `within` if all seen are documented without doubt, `outside` if none is documented, else `edge`. */
export function decideStates(bits, known) {
  if (!(bits & ~known.good)) return "within";
  return bits & known.allowed ? "edge" : "outside";
}

/** The gravest outcome of the points: outside before edge before cannot tell before within. */
export function decideNumbers(points, known, growth, band) {
  let gravest = 0;
  for (const [x, expanded] of points) {
    gravest = Math.max(gravest, SEVERITY.indexOf(decideNumber(x, expanded, known, growth, band)));
  }
  return SEVERITY[gravest];
}

/** One value with its expanded uncertainty against the intervals and the outermost bounds. */
function decideNumber(x, expanded, known, growth, band) {
  const low = x - expanded;
  const high = x + expanded;
  const slack = EPSILON * Math.max(Math.abs(x), Math.abs(expanded));
  for (const [bottom, top] of known.intervals) {
    if (bottom <= low + slack && high <= top + slack) return "within";
  }
  if (known.highest !== null && low > known.highest * band + slack) return "outside";
  if (known.lowest === null) return "edge";
  if (growth) return high < known.lowest - slack ? "cannot tell" : "edge"; // a young cap is small
  return high < known.lowest / band - slack ? "outside" : "edge";
}

function decideMonths(months, known, band) {
  if (!(months & ~known.good)) return "within";
  let farthest = 0;
  for (let month = 0; month < 12; month += 1) {
    if (months & (1 << month)) farthest = Math.max(farthest, monthDistance(month, known.allowed));
  }
  return farthest <= band ? "edge" : "outside";
}

/** Months from `month` (0 for January) to the nearest of `months`, the year taken as a circle; 12 if there is none. */
function monthDistance(month, months) {
  for (let away = 0; away <= 6; away += 1) {
    if (months & ((1 << ((month + away) % 12)) | (1 << ((month - away + 12) % 12)))) return away;
  }
  return 12;
}

/** Whether a row that may hold (condition not noted, or mixed) would allow what the others do not. */
function isExcused(seen, known) {
  if (seen.bits) return (seen.bits & known.excused) !== 0;
  if (seen.months) return true;
  return seen.points.some(([x, expanded]) =>
    known.maybe.some((row) =>
      (row.lowest === null || x + expanded >= row.lowest) && (row.highest === null || x - expanded <= row.highest)));
}
