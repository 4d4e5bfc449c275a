// The trait check: one specimen against the whole reference, the same as ledger/traits/check.py.
//
// The check says agrees, speaks against, missing or cannot tell. It never says what a find is.

import { weigh } from "./evidence.js";
import { decideAlone, dissentText, eitherText, measured, statesText, why } from "./explain.js";
import { rank } from "./lookalikes.js";
import { nextLooks } from "./next_look.js";
import { columnOf, decide, holdsSomething, see, traitCalibration, unmetNeed } from "./outcome.js";
import { rounded } from "./rounding.js";
import { findSlip } from "./typing_slips.js";
import { parseSpecimen } from "./specimen.js";
import { standingOf } from "./standing.js";
import { lowered, say } from "../words.js";

/**
 * Check one specimen, the JSON object of specimen.js. SpecimenError if a reading cannot be one of its trait; an unknown
 * taxon is no error.
 *
 * The result is the JSON that ledger/traits/result_json.py makes, without citations: {id?, taxon, standing, traits,
 * look_alikes, next_look, weight_db, probability, missing, note?}.
 */
export function checkSpecimen(reference, data) {
  const specimen = parseSpecimen(data, reference.traits);
  const seen = see(reference, specimen);
  const unmet = unmetNeeds(reference, seen);
  const columns = new Map();
  for (const code of reference.traits.keys()) {
    const one = seen.get(code);
    if (one && holdsSomething(one) && !unmet.has(code)) columns.set(code, columnOf(reference, one));
  }
  const judged = [...columns.values()];
  const weightsDb = weigh(reference, judged.map(({ seen: one }) => [one, specimen.readings[one.trait.code]]));
  const ranked = rank(reference, judged, weightsDb, unmet);
  const looks = nextLooks(reference, ranked, seen, specimen.state, specimen.age);
  const traits = specimen.taxon === null ? [] : [...reference.traits.values()].map((trait) =>
    traitOutcome(reference, specimen.taxon, trait, seen.get(trait.code), columns.get(trait.code), unmet));
  return resultOf(reference, specimen, traits, ranked, looks);
}

function resultOf(reference, specimen, traits, ranked, looks) {
  const { id, taxon } = specimen;
  const named = ranked.find((candidate) => candidate.taxon === taxon);
  const isBroken = traits.some((outcome) => outcome.house_rule !== undefined);
  const result = {
    ...(id === null ? {} : { id }),
    taxon,
    standing: named ? standingOf(reference, named.made, named.weightDb, named.missing, isBroken) : null,
    traits,
    look_alikes: ranked.filter((candidate) => candidate !== named).map(candidateJson),
    next_look: looks,
    weight_db: named ? rounded(named.weightDb, 2) : null,
    probability: named ? rounded(named.probability, 4) : null,
    missing: named ? named.missing : [],
  };
  return named || taxon === null ? result : { ...result, note: unknownNote(reference, taxon) };
}

function candidateJson({ taxon, standing, weightDb, against, probability, missing }) {
  return { taxon, standing, weight_db: rounded(weightDb, 2), against, probability: rounded(probability, 4), missing };
}

/** The traits that do not apply, by code, each with what makes it so. */
function unmetNeeds(reference, seen) {
  const unmet = new Map();
  for (const [code, trait] of reference.traits) {
    const need = unmetNeed(trait, seen);
    if (need !== null) unmet.set(code, need);
  }
  return unmet;
}

function traitOutcome(reference, taxon, trait, seen, column, unmet) {
  const rows = reference.rangesFor(taxon, trait.code);
  const plain = (outcome, reason) => ({
    trait: trait.code,
    outcome,
    measured: seen && seen.looked !== "not looked" ? measured(seen) : null,
    documented: rows.map((row) => rangeJson(trait, row)),
    dissent: [],
    why: reason,
    decisive: traitCalibration(reference, trait.code).decisive,
  });
  if (unmet.has(trait.code)) return plain("not applicable", unmetWhy(reference, trait, unmet.get(trait.code)));
  if (!seen || seen.looked === "not looked") return plain("not read", say("Nobody has looked at this yet."));
  if (seen.looked === "cannot say") return plain("cannot tell", say("Somebody looked, but could not say."));
  if (!column) {
    return plain("cannot tell", say("Looked for and absent; what the sources give does not say what that means."));
  }
  const known = column.known[reference.taxa.get(taxon)?.place] ?? null;
  const outcome = decide(seen, known, column.band);
  const reason = why(reference, seen, known, outcome, column.band);
  return judgedOutcome(reference, plain(outcome, reason), seen, known, column.band);
}

/** The outcome of a reading that was compared, with dissent, house rule and slip where there are any. */
function judgedOutcome(reference, found, seen, known, band) {
  const judging = (known?.yes ?? []).map((row) => [row, decideAlone(seen, row)]);
  if (found.outcome === "within") {
    const against = judging.filter(([, alone]) => alone === "outside").map(([row]) => row.source);
    found.dissent = [...new Set(against)];
    if (found.dissent.length) {
      const vouching = judging.filter(([, alone]) => alone === "within").map(([row]) => row);
      found.why += ` ${say("Not so by {sources}.", { sources: dissentText(reference, vouching, found.dissent) })}`;
    }
  }
  const broken = judging.find(([row, alone]) => row.binding && breaks(seen, alone));
  if (broken) {
    found.why += ` ${say("It is beyond the club's own rule, which is flagged even where a book allows it.")}`;
  }
  const slip = findSlip(seen, known, band);
  if (slip) found.slip = slip;
  if (broken) found.house_rule = broken[0].source;
  return found;
}

/** A house rule on states is broken by any state beyond it, one on numbers when the reading is proven beyond. */
function breaks(seen, alone) {
  return alone === "outside" || (alone === "edge" && (seen.bits !== 0 || seen.months !== 0));
}

function unmetWhy(reference, trait, { other, bits }) {
  const needs = reference.traits.get(other);
  return say("Applies only where {trait} is {wanted}; here it is {found}.", {
    trait: lowered(needs.label),
    wanted: eitherText(needs, trait.appliesWhen.get(other)),
    found: statesText(needs, bits) || say("none"),
  });
}

function unknownNote(reference, taxon) {
  const accepted = reference.synonyms.get(taxon);
  if (accepted) {
    return say("The reference lists {taxon} as a synonym of {accepted}; the name was left as it is.", {
      taxon,
      accepted: accepted.reduce((one, other) => say("{one} and of {other}", { one, other })),
    });
  }
  return say("The reference does not hold {taxon}; only the look-alikes could be checked.", { taxon });
}

/** Only what the source gives: a missing bound is left out, never 0. */
function rangeJson(trait, row) {
  const data = { source: row.source, condition: row.condition };
  const bounds = { low_extreme: row.lowExtreme, low: row.low, high: row.high, high_extreme: row.highExtreme };
  for (const [name, value] of Object.entries({ ...bounds, unit: row.unit })) if (value !== null) data[name] = value;
  if (row.bits) data.states = trait.states.filter((_, i) => row.bits & (1 << i)).map((state) => state.code).sort();
  if (row.note) data.note = row.note;
  if (row.doubtful) data.doubtful = true;
  if (row.binding) data.binding = true;
  return data;
}
