// Words for an outcome: what was compared with what, with the numbers and the source it rests on; the same sentences as
// ledger/traits/explain.py.

import { Documented, monthsText, rangeText } from "./documented.js";
import { decideNumbers, decideStates } from "./outcome.js";
import { general, roundedTo } from "./printed.js";
import { numberText, withUnit } from "./units.js";

const WANTED_SOURCES = 2;

/** The reading as compared, in words and numbers, without what it does not have. */
export function measured(seen) {
  const { trait, numbers } = seen;
  if (seen.bits) {
    const text = statesText(trait, seen.bits);
    return {
      text: seen.looked === "absent" ? `looked, absent (that is: ${text})` : text,
      states: trait.states.filter((_, i) => seen.bits & (1 << i)).map((state) => state.code),
    };
  }
  if (seen.months) {
    const given = { low: 32 - Math.clz32(seen.months & -seen.months), high: 32 - Math.clz32(seen.months) };
    return { text: monthsText(seen.months), ...given, unit: trait.unit };
  }
  if (numbers === null || !seen.points.length) {
    return { text: seen.looked === "absent" ? "looked, absent" : seen.looked };
  }
  const expanded = trait.compared === "mean" ? numbers.expandedMean : numbers.expandedSingle;
  const found = { text: numbersText(trait, numbers, expanded), low: numbers.low, high: numbers.high };
  Object.assign(found, { mean: numbers.mean, expanded_uncertainty: expanded });
  if (numbers.n !== null) found.n = numbers.n;
  return { ...found, unit: trait.unit };
}

function numbersText(trait, numbers, expanded) {
  const isMean = trait.compared === "mean";
  const plusMinus = general(roundedTo(expanded, 2), 15);
  const text = isMean
    ? withUnit(`${numberText(numbers.mean)} ± ${plusMinus}`, trait.unit)
    : `${rangeText(numbers.low, numbers.high, trait.unit)} ± ${plusMinus}`;
  if (numbers.n === null || numbers.n < 2) return text;
  return `${text} (${isMean ? "mean of " : ""}n = ${numbers.n})`;
}

/** Labels of the states in the order of the vocabulary. */
export function statesText(trait, bits) {
  return trait.states.filter((_, i) => bits & (1 << i)).map((state) => state.label.toLowerCase()).join(" and ");
}

/** Who does not allow what the vouching rows allow. A site that stands on both sides is told by its other pages. */
export function dissentText(reference, vouching, dissenting) {
  const sides = new Set(namesOf(reference, vouching));
  const names = new Set(dissenting.map((id) => reference.sources.get(id).name));
  return namesText([...names].map((name) => (sides.has(name) ? `other pages of ${name}` : name)));
}

/** The outcome if this row were all that is documented, with no allowance for disagreement. */
export function decideAlone(seen, row) {
  if (seen.bits) return decideStates(seen.bits, { good: row.bits, allowed: row.bits });
  if (seen.months) {
    if (!(seen.months & ~row.months)) return "within";
    return seen.months & row.months ? "edge" : "outside";
  }
  const intervals = [[row.lowest ?? -Infinity, row.highest ?? Infinity]];
  return decideNumbers(seen.points, { intervals, lowest: row.lowest, highest: row.highest }, seen.trait.growth, 1);
}

/** One or two sentences for the outcome of a reading that was compared, or could not be. */
export function why(reference, seen, known, outcome, band) {
  const { text } = measured(seen);
  if (known === null) return `${text}; no source of the reference documents this trait of the taxon.`;
  if (!known.yes.length) return noRowJudges(reference, seen, known);
  if (outcome === "within") {
    const rows = known.yes.filter((row) => !row.doubtful && decideAlone(seen, row) === "within");
    if (!rows.length) return `${text}: within what is documented (${known.text}), by ${sourcesText(reference, known.yes)}.`;
    // Bounds and names belong together: what those who are named give, not what others give beside them.
    const said = new Documented(seen.trait, rows, rows, []).text;
    return `${text}: within what is documented (${said}), by ${sourcesText(reference, rows)}.`;
  }
  const all = sourcesText(reference, known.yes);
  if (outcome === "outside") {
    return `${text}: beyond what is documented (${known.text}) by ${all}${marginText(seen, band)}.`;
  }
  return outcome === "edge" ? edgeText(reference, seen, known, text, all) : cannotTell(reference, seen, known, text, all);
}

function namesOf(reference, rows) {
  return [...new Set(rows.map((row) => reference.sources.get(row.source).name))];
}

/** Two sources by name and the number of the others. */
function sourcesText(reference, rows) {
  return namesText(namesOf(reference, rows));
}

function namesText(names) {
  const more = names.length - WANTED_SOURCES;
  return more <= 0 ? names.join(" and ") : `${names.slice(0, WANTED_SOURCES).join(", ")} and ${more} more`;
}

function marginText(seen, band) {
  if (seen.points.length && band > 1) return `, even after the factor ${numberText(band)} by which such sources differ`;
  if (seen.months && band > 0) return `, even after the ${numberText(band)} months by which such sources differ`;
  return "";
}

function edgeText(reference, seen, known, text, all) {
  const vouch = known.yes.filter((row) => decideAlone(seen, row) === "within");
  if (vouch.length && vouch.every((row) => row.doubtful)) {
    return `${text}: allowed only by ${sourcesText(reference, vouch)}, a figure that is doubted.`;
  }
  if (seen.bits) {
    const beyond = statesText(seen.trait, seen.bits & ~known.allowed);
    if (beyond) return `${text}: ${beyond} is not documented, the rest is (${known.text}, ${all}).`;
    return `${text}: documented only by figures that are doubted (${all}).`;
  }
  if (!seen.points.length) return `${text}: close to the documented months (${known.text}, ${all}).`;
  const widths = known.intervals.map(([bottom, top]) => top - bottom);
  const width = widths.length ? Math.max(...widths) : Infinity;
  if (seen.points.some(([, expanded]) => 2 * expanded > width)) {
    return `${text}: the measuring error is wider than the whole documented range (${known.text}), so nothing can be `
      + "proven. Measure more pieces, or with a finer scale.";
  }
  return `${text}: at the limit of what is documented (${known.text}, ${all}). It may be past it, but by no more than `
    + "measuring can err and books differ.";
}

function cannotTell(reference, seen, known, text, all) {
  const grows = seen.trait.growth && seen.points.length > 0;
  if (grows && known.lowest !== null && seen.points[0][0] + seen.points[0][1] < known.lowest) {
    return `${text}: below ${withUnit(numberText(known.lowest), seen.trait.unit)} (${all}), which a young one may be.`;
  }
  return `${text}: would suit what ${sourcesText(reference, known.maybe)} says of ${conditionsText(known.maybe)} ones `
    + "only, and the condition of this one was not noted or is mixed.";
}

function noRowJudges(reference, seen, known) {
  let made = "was noted without its condition, or is mixed";
  if (!known.maybe.length) {
    made = `was made ${seen.state ?? "in an unknown state"}${seen.age === null ? "" : ` (${seen.age})`}`;
  }
  return `Documented only for ${conditionsText(known.rows)} ones (${known.text}, ${sourcesText(reference, known.rows)}), `
    + `while this reading (${measured(seen).text}) ${made}${dryingText(seen, known)}. Nothing is converted.`;
}

function conditionsText(rows) {
  return [...new Set(rows.map((row) => row.condition))].sort().join(" or ");
}

/** Why a fresh figure cannot judge this one, for the traits that are known to change. */
function dryingText(seen, known) {
  if (known.rows.every((row) => row.condition !== "fresh")) return "";
  if (seen.trait.dryingNote) return `; ${seen.trait.dryingNote}`;
  if (seen.trait.unit !== null) return "; fruit bodies shrink as they dry";
  return "; colours and textures change as they dry";
}
