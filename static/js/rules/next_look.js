// Which unread trait would best part the taxa that are not ruled out, for the least effort; as ledger/traits/next_look.py.
// The gain is the expected drop in entropy (bits), the taxa in proportion to the weight of evidence so far.

import { answersFor, entropyBits, twoWayEntropy } from "./answers.js";
import { fsum } from "./fsum.js";
import { unmetNeed } from "./outcome.js";
import { thousands } from "./printed.js";
import { rounded, toGrid } from "./rounding.js";
import { numberText, withUnit } from "./units.js";
import { lowered, say } from "../words.js";

// Below the first a look is not worth the while and is left out; below the second it is not put first for being
// fresh-only.
const LEAST_GAIN_BITS = 0.01;
const FIRST_GAIN_BITS = 0.1;
const SHOWN = 3;

/**
 * Unread applicable traits, the best first, as the JSON of a result has them: {trait, gain_bits, effort, fresh_only,
 * answers: [{text, leaves}], sentence}.
 *
 * `candidates` are all taxa, best first: {taxon, standing, probability}; `seen` a Map by trait of the readings made ready.
 * While the specimen is fresh, traits that drying destroys come first if they promise anything to speak of.
 */
export function nextLooks(reference, candidates, seen, state, age) {
  const open = openTaxa(reference, candidates);
  if (open.names.length < 2) return [];
  const found = [];
  for (const trait of reference.traits.values()) {
    const given = seen.get(trait.code);
    const isUnread = given === undefined || given.looked === "not looked";
    if (trait.kind === "months" || !isUnread || unmetNeed(trait, seen) !== null) continue;
    const answers = answersFor(reference, trait, state, age);
    if (answers === null) continue;
    const expected = answers.chances.map((column) => weighted(open.shares, column));
    const gain = steady(entropyBits(expected) - weighted(open.shares, answers.entropy));
    if (gain < LEAST_GAIN_BITS) continue;
    found.push({
      isLater: !goesFirst(trait.freshOnly, gain, state),
      perEffort: gain / reference.effortCost.get(trait.effort),
      order: trait.order,
      look: lookOf(trait, gain, told(trait, answers, expected, open)),
    });
  }
  found.sort((one, other) => one.isLater - other.isLater || other.perEffort - one.perEffort || one.order - other.order);
  return found.map((each) => each.look);
}

/** Why this look comes first, in at most 15 words. `stillOpen` is how many taxa are not ruled out. */
export function inShort(look, { stillOpen, state }) {
  const many = thousands(stillOpen);
  if (goesFirst(look.fresh_only, look.gain_bits, state)) {
    return say("Do it while fresh: drying destroys it, and it parts the {many} taxa still open.", { many });
  }
  return say("Of what is unread, this parts the {many} taxa still open best for the effort.", { many });
}

/** The taxa not ruled out: their shares (over all taxa, 0 for the others), and names and places, best first. */
function openTaxa(reference, candidates) {
  const still = candidates.filter((candidate) => candidate.standing !== "ruled out");
  const total = fsum(still.map((candidate) => candidate.probability ?? 0));
  const names = still.map((candidate) => candidate.taxon);
  const places = names.map((name) => reference.taxa.get(name).place);
  const shares = new Array(reference.names.length).fill(0);
  still.forEach((candidate, i) => {
    shares[places[i]] = total > 0 ? (candidate.probability ?? 0) / total : 0;
  });
  return { names, places, shares };
}

/** The taxa that an answer leaves, by its column over all taxa. */
function leftBy(open, column) {
  const left = [];
  for (let i = 0; i < open.names.length; i += 1) if (column[open.places[i]]) left.push(open.names[i]);
  return left;
}

/** For states one answer per state that any open taxon shows, the likeliest first; for numbers two. */
function told(trait, answers, expected, open) {
  if (answers.cuts.length) return toldByCut(trait, answers, open);
  const keys = expected.map(steady);
  const order = keys.map((_, i) => i).sort((a, b) => keys[b] - keys[a] || a - b);
  return order
    .map((i) => ({ text: lowered(answers.texts[i]), leaves: leftBy(open, answers.leaves[i]) }))
    .filter((answer) => answer.leaves.length);
}

/** Two answers, at the cut that parts the taxa best; of equal cuts the one that leaves fewer. */
function toldByCut(trait, answers, open) {
  const gains = answers.cuts.map((cut) =>
    steady(twoWayEntropy(weighted(open.shares, cut.chance)) - weighted(open.shares, cut.entropy)));
  const best = Math.max(...gains);
  let fewest = null;
  answers.cuts.forEach((cut, i) => {
    if (gains[i] !== best) return;
    const more = leftBy(open, cut.moreLeaves);
    const less = leftBy(open, cut.lessLeaves);
    if (fewest === null || more.length + less.length < fewest.more.length + fewest.less.length) {
      fewest = { at: cut.at, more, less };
    }
  });
  const number = withUnit(numberText(fewest.at), trait.unit);
  return [{ text: say("{number} or more", { number }), leaves: fewest.more }, { text: say("less"), leaves: fewest.less }];
}

/** Whether a look is put first because drying destroys it. The gain counts as it is shown, in thousandths. */
function goesFirst(freshOnly, gainBits, state) {
  return state === "fresh" && freshOnly && rounded(gainBits, 3) >= FIRST_GAIN_BITS;
}

/** To a billionth: logarithms may differ in their last digit from one machine to the next, and no order may. */
function steady(value) {
  return toGrid(value, 1e9);
}

function weighted(shares, column) {
  let sum = 0;
  for (let i = 0; i < shares.length; i += 1) sum += shares[i] * column[i];
  return sum;
}

function lookOf(trait, gain, answers) {
  return {
    trait: trait.code,
    gain_bits: rounded(gain, 3),
    effort: trait.effort,
    fresh_only: trait.freshOnly,
    answers,
    sentence: sentenceOf(trait, answers),
  };
}

function sentenceOf(trait, answers) {
  const meaning = answers
    .slice(0, SHOWN)
    .map((answer) => say("{answer} would leave {taxa}", { answer: answer.text, taxa: listed(answer.leaves) }))
    .join("; ");
  return `${say(trait.ask)} ${meaning.slice(0, 1).toUpperCase()}${meaning.slice(1)}.`;
}

function listed(taxa) {
  if (!taxa.length) return say("none of them");
  if (taxa.length <= SHOWN) return taxa.join(", ");
  return say("{names} and {n} more", { names: taxa.slice(0, SHOWN).join(", "), n: taxa.length - SHOWN });
}
