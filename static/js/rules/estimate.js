// Numbers of a reading and their uncertainty, as ledger/traits/readings.py has them: u = d / sqrt(12) of a single one,
// sqrt(s^2/n + d^2/12) of the mean, expanded U = 2 u (JCGM 100:2008).

import { fsum } from "./fsum.js";

const COVERAGE_FACTOR = 2;
const MOST_IN_TABLE = 25;
// Mean range of n = 2 to 25 draws from a normal distribution, in standard deviations (d2 of the control charts).
const RANGE_IN_SD = [
  1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.97, 3.078, 3.173, 3.258, 3.336,
  3.407, 3.472, 3.532, 3.588, 3.64, 3.689, 3.735, 3.778, 3.819, 3.858, 3.895, 3.931,
];

/** {low, high, mean, expandedSingle, expandedMean, n} of a reading; null when it holds no numbers. */
export function estimate(reading, resolution) {
  const expandedSingle = COVERAGE_FACTOR * (resolution / Math.sqrt(12));
  if (reading.values.length) return ofReplicates(reading.values, resolution, expandedSingle);
  if (reading.low === null && reading.high === null) return null;
  const low = reading.low ?? reading.high;
  const high = reading.high ?? reading.low;
  const expandedMean = COVERAGE_FACTOR * rangeMeanUncertainty(low, high, reading.n, resolution);
  return { low, high, mean: (low + high) / 2, expandedSingle, expandedMean, n: reading.n };
}

function ofReplicates(values, resolution, expandedSingle) {
  const ordered = [...values].sort((a, b) => a - b);
  const n = ordered.length;
  const mean = fsum(ordered) / n;
  const s = standardDeviation(ordered, mean);
  const expandedMean = COVERAGE_FACTOR * Math.sqrt((s * s) / n + (resolution * resolution) / 12);
  return { low: ordered[0], high: ordered[n - 1], mean, expandedSingle, expandedMean, n };
}

function standardDeviation(values, mean) {
  if (values.length < 2) return 0;
  return Math.sqrt(fsum(values.map((x) => (x - mean) * (x - mean))) / (values.length - 1));
}

/** Of the middle of low-high: with n from the range's expectation, without it a rectangle (GUM 4.3.7). */
function rangeMeanUncertainty(low, high, n, resolution) {
  let spread = 0;
  if (n === null) spread = (high - low) / 2 / Math.sqrt(3);
  else if (n >= 2) spread = (high - low) / RANGE_IN_SD[Math.min(n, MOST_IN_TABLE) - 2] / Math.sqrt(n);
  return Math.sqrt(spread * spread + (resolution * resolution) / 12);
}
