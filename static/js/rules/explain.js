// Words for an outcome: what was compared with what, with the numbers and the source it rests on; the same sentences as
// ledger/traits/explain.py.

import { Documented, monthsText, rangeText } from "./documented.js";
import { decideNumbers, decideStates } from "./outcome.js";
import { allOf, anyOf } from "./phrases.js";
import { general, roundedTo } from "./printed.js";
import { numberText, withUnit } from "./units.js";
import { lowered, say } from "../words.js";

const WANTED_SOURCES = 2;
// Conditions of a range, states and ages of a specimen, and what stands in place of a reading.
const WORDS = {
  fresh: say("fresh"), moist: say("moist"), "air-dry": say("air-dry"), "oven-dry": say("oven-dry"),
  weathered: say("weathered"), dry: say("dry"), any: say("any"), young: say("young"), mature: say("mature"),
  old: say("old"), mixed: say("mixed"), "not looked": say("not looked"), "cannot say": say("cannot say"),
};

/** The reading as compared, in words and numbers, without what it does not have. */
export function measured(seen) {
  const { trait, numbers } = seen;
  if (seen.bits) {
    const text = statesText(trait, seen.bits);
    return {
      text: seen.looked === "absent" ? say("looked, absent (that is: {states})", { states: text }) : text,
      states: trait.states.filter((_, i) => seen.bits & (1 << i)).map((state) => state.code),
    };
  }
  if (seen.months) {
    const given = { low: 32 - Math.clz32(seen.months & -seen.months), high: 32 - Math.clz32(seen.months) };
    return { text: monthsText(seen.months), ...given, unit: trait.unit };
  }
  if (numbers === null || !seen.points.length) {
    return { text: seen.looked === "absent" ? say("looked, absent") : WORDS[seen.looked] ?? seen.looked };
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
  return `${text} ${isMean ? say("(mean of n = {n})", { n: numbers.n }) : `(n = ${numbers.n})`}`;
}

/** Labels of the states in the order of the vocabulary. */
export function statesText(trait, bits) {
  return allOf(labelsOf(trait, bits));
}

/** The same where one of them is enough. */
export function eitherText(trait, bits) {
  return anyOf(labelsOf(trait, bits));
}

function labelsOf(trait, bits) {
  return trait.states.filter((_, i) => bits & (1 << i)).map((state) => lowered(state.label));
}

/** Who does not allow what the vouching rows allow. A site that stands on both sides is told by its other pages. */
export function dissentText(reference, vouching, dissenting) {
  const sides = new Set(namesOf(reference, vouching));
  const names = new Set(dissenting.map((id) => nameOf(reference.sources.get(id))));
  return namesText([...names].map((name) => (sides.has(name) ? say("other pages of {name}", { name }) : name)));
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
  if (known === null) {
    return say("{measured}; no source of the reference documents this trait of the taxon.", { measured: text });
  }
  if (!known.yes.length) return noRowJudges(reference, seen, known);
  if (outcome === "within") {
    const rows = known.yes.filter((row) => !row.doubtful && decideAlone(seen, row) === "within");
    // Bounds and names belong together: what those who are named give, not what others give beside them.
    const documented = rows.length ? new Documented(seen.trait, rows, rows, []).text : known.text;
    const sources = sourcesText(reference, rows.length ? rows : known.yes);
    return say("{measured}: within what is documented ({documented}), by {sources}.", { measured: text, documented, sources });
  }
  const told = { measured: text, documented: known.text, sources: sourcesText(reference, known.yes) };
  if (outcome === "outside") return outsideText(seen, band, told);
  return outcome === "edge" ? edgeText(reference, seen, known, told) : cannotTell(reference, seen, known, told);
}

function namesOf(reference, rows) {
  return [...new Set(rows.map((row) => nameOf(reference.sources.get(row.source))))];
}

/** A source in a few words: the start of its citation, or how it is known. */
function nameOf({ kind, name }) {
  if (kind === "memory") return say("a value from memory");
  return kind === "common practice" ? say("common practice") : name;
}

/** Two sources by name and the number of the others. */
function sourcesText(reference, rows) {
  return namesText(namesOf(reference, rows));
}

function namesText(names) {
  const more = names.length - WANTED_SOURCES;
  if (more <= 0) return allOf(names);
  return say("{names} and {n} more", { names: names.slice(0, WANTED_SOURCES).join(", "), n: more });
}

function outsideText(seen, band, told) {
  if (seen.points.length && band > 1) {
    return say(
      "{measured}: beyond what is documented ({documented}) by {sources}, even after the factor {factor} by "
        + "which such sources differ.",
      { ...told, factor: numberText(band) },
    );
  }
  if (seen.months && band > 0) {
    return say(
      "{measured}: beyond what is documented ({documented}) by {sources}, even after the {months} months by "
        + "which such sources differ.",
      { ...told, months: numberText(band) },
    );
  }
  return say("{measured}: beyond what is documented ({documented}) by {sources}.", told);
}

function edgeText(reference, seen, known, told) {
  const vouch = known.yes.filter((row) => decideAlone(seen, row) === "within");
  if (vouch.length && vouch.every((row) => row.doubtful)) {
    const sources = sourcesText(reference, vouch);
    return say("{measured}: allowed only by {sources}, a figure that is doubted.", { ...told, sources });
  }
  if (seen.bits) {
    const beyond = statesText(seen.trait, seen.bits & ~known.allowed);
    if (beyond) {
      return say("{measured}: {beyond} is not documented, the rest is ({documented}, {sources}).", { ...told, beyond });
    }
    return say("{measured}: documented only by figures that are doubted ({sources}).", told);
  }
  if (!seen.points.length) return say("{measured}: close to the documented months ({documented}, {sources}).", told);
  const widths = known.intervals.map(([bottom, top]) => top - bottom);
  const width = widths.length ? Math.max(...widths) : Infinity;
  if (seen.points.some(([, expanded]) => 2 * expanded > width)) {
    return say(
      "{measured}: the measuring error is wider than the whole documented range ({documented}), so nothing "
        + "can be proven. Measure more pieces, or with a finer scale.",
      told,
    );
  }
  return say(
    "{measured}: at the limit of what is documented ({documented}, {sources}). It may be past it, but by no "
      + "more than measuring can err and books differ.",
    told,
  );
}

function cannotTell(reference, seen, known, told) {
  const grows = seen.trait.growth && seen.points.length > 0;
  if (grows && known.lowest !== null && seen.points[0][0] + seen.points[0][1] < known.lowest) {
    const lowest = withUnit(numberText(known.lowest), seen.trait.unit);
    return say("{measured}: below {lowest} ({sources}), which a young one may be.", { ...told, lowest });
  }
  return say(
    "{measured}: would suit what {sources} says of {conditions} ones only, and the condition of this one was not "
      + "noted or is mixed.",
    { ...told, sources: sourcesText(reference, known.maybe), conditions: conditionsText(known.maybe) },
  );
}

function noRowJudges(reference, seen, known) {
  const reason = dryingText(seen, known);
  const told = {
    conditions: conditionsText(known.rows),
    documented: known.text,
    sources: sourcesText(reference, known.rows),
    measured: measured(seen).text,
    made: madeIn(seen),
    reason,
  };
  if (known.maybe.length && reason) {
    return say(
      "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
        + "noted without its condition, or is mixed; {reason}. Nothing is converted.",
      told,
    );
  }
  if (known.maybe.length) {
    return say(
      "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
        + "noted without its condition, or is mixed. Nothing is converted.",
      told,
    );
  }
  if (reason) {
    return say(
      "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was made "
        + "{made}; {reason}. Nothing is converted.",
      told,
    );
  }
  return say(
    "Documented only for {conditions} ones ({documented}, {sources}), while this reading ({measured}) was "
      + "made {made}. Nothing is converted.",
    told,
  );
}

/** The condition of a reading, as it stands behind "was made". */
function madeIn({ state, age }) {
  const made = state === null ? say("in an unknown state") : WORDS[state];
  return age === null ? made : `${made} (${WORDS[age]})`;
}

function conditionsText(rows) {
  return anyOf([...new Set(rows.map((row) => row.condition))].sort().map((condition) => WORDS[condition]));
}

/** Why a fresh figure cannot judge this one, for the traits that are known to change. */
function dryingText(seen, known) {
  if (known.rows.every((row) => row.condition !== "fresh")) return "";
  if (seen.trait.dryingNote) return say(seen.trait.dryingNote);
  if (seen.trait.unit !== null) return say("fruit bodies shrink as they dry");
  return say("colours and textures change as they dry");
}
