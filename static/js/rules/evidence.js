// Weight of evidence in decibans (I. J. Good 1950), out of the tables of the pack; the same sums as
// ledger/traits/evidence.py.
//
// A table is {kind: "states", base, step}, {kind: "months", step} with steps by state or by month "1" to "12", or
// {kind: "numbers", rows: [[ln top, width, blur]], factor, pair}.

import { fsum } from "./fsum.js";
import { toGrid } from "./rounding.js";

export const DECIBANS_PER_NAT = 10 / Math.LN10;
// Points across a documented range at which its blurred shape is summed, the outermost at its bounds.
const NODES = 5;
// Student's t with 7 degrees of freedom: exponent (7 + 1) / 2 = 4.
const TAIL = 7;
const TOTAL_PER_DECIBAN = 1e6;

/** Decibans of all readings together, by place of the taxon. `given` is a list of [seen, reading]. */
export function weigh(reference, given) {
  const columns = [];
  for (const [seen, reading] of given) {
    const table = reference.evidence.get(seen.trait.code);
    const column = table === undefined ? null : weighOne(table, seen, reading);
    if (column !== null) columns.push(column);
  }
  return summed(columns, reference.names.length).map((sum) => toGrid(sum, TOTAL_PER_DECIBAN));
}

/** Share of each taxon among all of the reference, each as likely as the other beforehand. */
export function probabilities(weightsDb) {
  const best = Math.max(...weightsDb);
  const odds = weightsDb.map((weight) => Math.exp((weight - best) / DECIBANS_PER_NAT));
  const whole = fsum(odds);
  return odds.map((one) => one / whole);
}

/** Decibans of one reading, by place; null where it says nothing. */
function weighOne(table, seen, reading) {
  if (table.kind === "numbers") {
    const { points, soft } = pointsOf(seen, reading);
    return points.length ? weighNumbers(table, points, soft) : null;
  }
  const steps = codesOf(seen).filter((code) => table.step.has(code)).map((code) => table.step.get(code));
  if (table.kind === "states") return seen.bits ? summed([table.base, ...steps], table.base.length) : null;
  return steps.length ? summed(steps, steps[0].length).map((sum) => sum / steps.length) : null;
}

/** The exact sum of the columns, place by place. */
function summed(columns, many) {
  const row = new Array(columns.length);
  const found = new Array(many);
  for (let place = 0; place < many; place += 1) {
    for (let i = 0; i < columns.length; i += 1) row[i] = columns[i][place];
    found[place] = fsum(row);
  }
  return found;
}

function codesOf(seen) {
  if (seen.months) return MONTHS.filter((_, i) => seen.months & (1 << i));
  return seen.trait.states.filter((_, i) => seen.bits & (1 << i)).map((state) => state.code);
}

const MONTHS = Array.from({ length: 12 }, (_, i) => String(i + 1));

/** Low and high without a count may be a description's range rather than two caps in the hand. */
function pointsOf({ trait, numbers }, reading) {
  if (numbers === null) return { points: [], soft: false };
  const singles = reading.values.length > 0 || reading.n !== null;
  if (trait.compared === "mean" && singles) return { points: [numbers.mean], soft: false };
  const points = numbers.low === numbers.high ? [numbers.low] : [numbers.low, numbers.high];
  return { points, soft: trait.growth && singles };
}

function weighNumbers(table, points, soft) {
  const share = table.factor * (points.length > 1 ? table.pair : 1);
  let found = table.rows.map(() => 0);
  for (const point of points) {
    if (point <= 0) continue; // no logarithm
    const at = Math.log(point);
    const densities = table.rows.map((row) => densityOf(row, at, soft));
    const background = fsum(densities) / densities.length;
    found = found.map((soFar, place) => soFar + share * Math.log(densities[place] / background));
  }
  return found;
}

/** Blurred shape of a taxon's range at `at`, but for a factor common to all. */
function densityOf([top, width, blur], at, soft) {
  const x = soft ? Math.max(at, top - width) : at;
  const stretch = 1 / blur;
  let z = (x - top) * stretch;
  const step = (width * stretch) / (NODES - 1);
  let density = 0;
  for (let node = 0; node < NODES; node += 1) {
    let tail = 1 + (z * z) / TAIL;
    tail *= tail;
    density += 1 / (tail * tail);
    z += step;
  }
  return density * stretch;
}
