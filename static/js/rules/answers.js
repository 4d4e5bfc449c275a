// The possible answers to a look at one trait, as tables over all taxa: how likely each is, and whom it would leave; as
// ledger/traits/answers.py. Columns run over the taxa by place.

import { documented } from "./documented.js";
import { fsum } from "./fsum.js";
import { traitCalibration } from "./outcome.js";

const MOST_CUTS = 7;

/**
 * {texts, cuts, chances, leaves, entropy} for a specimen in that condition, or null if nothing documented would judge it.
 *
 * `chances` and `leaves` have one column per answer: a state of `texts` (labels as the vocabulary has them), or a stretch
 * between `cuts`. `entropy` is that of a taxon's answers in bits. A cut is {at, chance, entropy, moreLeaves, lessLeaves}: a number at least `at`, or less.
 */
export function answersFor(reference, trait, state, age) {
  const known = documented(reference, trait, state, age);
  let made = reference.memo.get(known); // the same list for all conditions that the trait does not tell apart
  if (made === undefined) {
    made = null;
    if (known.some(mayJudge)) made = (trait.kind === "states" ? ofStates : ofNumbers)(reference, trait, known);
    reference.memo.set(known, made);
  }
  return made;
}

function mayJudge(doc) {
  return doc !== null && (doc.yes.length > 0 || doc.maybe.length > 0);
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

// How one taxon answers: {chances, bits, entropy}, by answer the chance of it, and in bits which answers leave the taxon.
// Taxa of which the same is documented share one, so that little is worked out twice.

function ofStates(reference, trait, known) {
  const error = traitCalibration(reference, trait.code).errorRate ?? 0;
  const byBits = new Map();
  const answering = known.map((doc) => {
    if (!mayJudge(doc)) return null;
    if (!byBits.has(doc.excused)) {
      const shares = trait.states.map((_, i) => (doc.excused & (1 << i) ? 1 : 0));
      byBits.set(doc.excused, oneAnswering(smoothed(shares, error), doc.excused));
    }
    return byBits.get(doc.excused);
  });
  return tableOf(trait.states.map((state) => state.label), [], answering);
}

function ofNumbers(reference, trait, known) {
  const hulls = known.map((doc) => (mayJudge(doc) ? hullOf(doc) : null));
  const bounds = inOrder(hulls.flatMap((hull) => (hull ?? []).filter((bound) => bound !== null)));
  if (bounds.length < 2) return null;
  const cuts = cutsAmong(bounds);
  const edges = [-Infinity, ...cuts, Infinity];
  const error = traitCalibration(reference, trait.code).errorRate ?? 0;
  const byHull = new Map();
  const answering = hulls.map((hull) => {
    if (hull === null) return null;
    // For growth traits every small value leaves every taxon: it may be young.
    const low = trait.growth ? null : hull[0];
    const key = `${low}/${hull[1]}`;
    if (!byHull.has(key)) byHull.set(key, alongEdges(low, hull[1], bounds, edges, error));
    return byHull.get(key);
  });
  return tableOf([], cuts, answering);
}

/** How a taxon of that hull answers by the stretches between the edges. */
function alongEdges(low, high, bounds, edges, error) {
  const bottom = low ?? bounds[0];
  const top = Math.max(high ?? bounds.at(-1), bottom);
  const shares = [];
  let bits = 0;
  for (let i = 0; i + 1 < edges.length; i += 1) {
    shares.push(share(bottom, top, edges[i], edges[i + 1]));
    if ((low === null || low < edges[i + 1]) && (high === null || high >= edges[i])) bits |= 1 << i;
  }
  return oneAnswering(smoothed(shares, error), bits);
}

function oneAnswering(chances, bits) {
  return { chances, bits, entropy: entropyBits(chances) };
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
function tableOf(texts, cuts, answering) {
  const known = answering.filter((one) => one !== null);
  const many = known[0].chances.length;
  const average = [];
  for (let i = 0; i < many; i += 1) average.push(fsum(known.map((one) => one.chances[i])) / known.length);
  const unknown = oneAnswering(average, (1 << many) - 1);
  const all = answering.map((one) => one ?? unknown);
  return {
    texts,
    cuts: cuts.map((at, i) => cutOf(at, i + 1, all)),
    chances: average.map((_, i) => columnOf(all, (one) => one.chances[i])),
    leaves: average.map((_, i) => columnOf(all, (one) => (one.bits & (1 << i)) !== 0)),
    entropy: columnOf(all, (one) => one.entropy),
  };
}

/** By place of the taxon, what `told` says of how it answers; asked once of each way of answering. */
function columnOf(all, told) {
  const kept = new Map();
  return all.map((one) => {
    if (!kept.has(one)) kept.set(one, told(one));
    return kept.get(one);
  });
}

function cutOf(at, place, all) {
  const below = (1 << place) - 1;
  const chanceOf = (one) => Math.min(1, fsum(one.chances, place));
  return {
    at,
    chance: columnOf(all, chanceOf),
    entropy: columnOf(all, (one) => twoWayEntropy(chanceOf(one))),
    moreLeaves: columnOf(all, (one) => one.bits > below),
    lessLeaves: columnOf(all, (one) => (one.bits & below) !== 0),
  };
}

function inOrder(numbers) {
  return [...new Set(numbers)].sort((a, b) => a - b);
}
