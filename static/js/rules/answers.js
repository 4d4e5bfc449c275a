// The possible answers to a look at one trait, as tables over all taxa: how likely each is, and whom it would leave; as
// ledger/traits/answers.py. Columns run over the taxa by place.

import { documented } from "./documented.js";
import { fsum } from "./fsum.js";
import { traitCalibration } from "./outcome.js";

const MOST_CUTS = 7;

/**
 * {texts, cuts, chances, leaves, entropy} for a specimen in that condition, or null if nothing documented would judge it.
 *
 * `chances` and `leaves` have one column per answer: a state of `texts`, or a stretch between `cuts`. `entropy` is that of
 * a taxon's answers in bits. A cut is {at, chance, entropy, moreLeaves, lessLeaves}: a number at least `at`, or less.
 */
export function answersFor(reference, trait, state, age) {
  const key = `answers/${trait.code}/${state}/${age}`;
  let made = reference.memo.get(key);
  if (made === undefined) {
    const known = documented(reference, trait, state, age).map((doc) =>
      doc && (doc.yes.length || doc.maybe.length) ? doc : null);
    made = null;
    if (known.some(Boolean)) {
      made = trait.kind === "states" ? stateAnswers(reference, trait, known) : numberAnswers(reference, trait, known);
    }
    reference.memo.set(key, made);
  }
  return made;
}

/** Shannon entropy in bits of shares that sum to one. */
export function entropyBits(shares) {
  let sum = 0;
  for (const p of shares) if (p > 0) sum += p * Math.log2(p);
  return -sum;
}

/** Entropy in bits of a yes or no with chance p. */
export function twoWayEntropy(p) {
  return p <= 0 || p >= 1 ? 0 : -p * Math.log2(p) - (1 - p) * Math.log2(1 - p);
}

function stateAnswers(reference, trait, known) {
  const error = traitCalibration(reference, trait.code).errorRate ?? 0;
  const leaves = known.map((doc) => doc && trait.states.map((_, i) => (doc.excused & (1 << i)) !== 0));
  const chances = leaves.map((flags) => flags && smoothed(flags.map(Number), error));
  return tableOf(trait.states.map((state) => state.label.toLowerCase()), [], chances, leaves);
}

function numberAnswers(reference, trait, known) {
  const hulls = known.map((doc) => doc && hullOf(doc));
  const bounds = inOrder(hulls.flatMap((hull) => (hull ?? []).filter((bound) => bound !== null)));
  if (bounds.length < 2) return null;
  const cuts = cutsAmong(bounds);
  const edges = [-Infinity, ...cuts, Infinity];
  const stretches = edges.slice(1).map((edge, i) => [edges[i], edge]);
  const error = traitCalibration(reference, trait.code).errorRate ?? 0;
  const chances = [];
  const leaves = [];
  for (const hull of hulls) {
    chances.push(hull && stretchChances(trait, hull, bounds, stretches, error));
    leaves.push(hull && stretchLeaves(trait, hull, stretches));
  }
  return tableOf([], cuts, chances, leaves);
}

/** Some of the bounds, evenly through their order, but not the lowest, below which nothing is documented. */
function cutsAmong(bounds) {
  const step = Math.max(1, (bounds.length - 2) / MOST_CUTS);
  const cuts = [];
  for (let i = 0; i < MOST_CUTS; i += 1) {
    const place = 1 + Math.trunc(i * step);
    if (place < bounds.length) cuts.push(bounds[place]);
  }
  return inOrder(cuts);
}

/** For growth traits every small value leaves every taxon: it may be young. */
function lowOf(trait, [low]) {
  return trait.growth ? null : low;
}

function stretchChances(trait, hull, bounds, stretches, error) {
  const bottom = lowOf(trait, hull) ?? bounds[0];
  const top = Math.max(hull[1] ?? bounds.at(-1), bottom);
  return smoothed(stretches.map(([from, to]) => share(bottom, top, from, to)), error);
}

function stretchLeaves(trait, hull, stretches) {
  const low = lowOf(trait, hull);
  const high = hull[1];
  return stretches.map(([from, to]) => (low === null || low < to) && (high === null || high >= from));
}

/** Outermost bounds of the rows without doubt, or of all if all are doubted. A bound of zero is none on a log scale. */
function hullOf(doc) {
  const all = [...doc.yes, ...doc.maybe];
  const sure = all.filter((row) => !row.doubtful);
  const rows = sure.length ? sure : all;
  const lows = rows.map((row) => row.lowest).filter(Boolean);
  const highs = rows.map((row) => row.highest).filter(Boolean);
  return [lows.length ? Math.min(...lows) : null, highs.length ? Math.max(...highs) : null];
}

/** Share of bottom..top, on a log scale, that lies in [from, to); a single value lies in one of them. */
function share(bottom, top, from, to) {
  if (top <= bottom) return from <= bottom && bottom < to ? 1 : 0;
  const low = Math.max(bottom, from);
  const high = Math.min(top, to);
  return high > low ? Math.log(high / low) / Math.log(top / bottom) : 0;
}

/** Shares of all answers, of which the part `error` is spread evenly over them. */
function smoothed(shares, error) {
  const total = fsum(shares);
  const even = 1 / shares.length;
  if (total <= 0) return shares.map(() => even);
  return shares.map((each) => ((1 - error) * each) / total + error * even);
}

/** Taxa of which nothing is documented answer as the average taxon does, and every answer leaves them. */
function tableOf(texts, cuts, chances, leaves) {
  const known = chances.filter(Boolean);
  const average = known[0].map((_, i) => fsum(known.map((row) => row[i])) / known.length);
  const rows = chances.map((row) => row ?? average);
  const every = average.map(() => true);
  const left = leaves.map((row) => row ?? every);
  return {
    texts,
    cuts: cuts.map((at, i) => cutOf(at, i + 1, rows, left)),
    chances: average.map((_, i) => rows.map((row) => row[i])),
    leaves: average.map((_, i) => left.map((row) => row[i])),
    entropy: rows.map(entropyBits),
  };
}

function cutOf(at, place, rows, left) {
  const chance = rows.map((row) => Math.min(1, fsum(row.slice(place))));
  return {
    at,
    chance,
    entropy: chance.map(twoWayEntropy),
    moreLeaves: left.map((flags) => flags.slice(place).some(Boolean)),
    lessLeaves: left.map((flags) => flags.slice(0, place).some(Boolean)),
  };
}

function inOrder(numbers) {
  return [...new Set(numbers)].sort((a, b) => a - b);
}
