// Every taxon of the reference through the same check, ordered by the weight of evidence; as ledger/traits/lookalikes.py.

import { probabilities } from "./evidence.js";
import { measured } from "./explain.js";
import { missing, standingOf, tally } from "./standing.js";
import { say } from "../words.js";

/**
 * All taxa, best weight first (ties by name): {taxon, standing, weightDb, against: [{trait, text}], probability, missing,
 * made}, where `made` is the tally. Weights and probabilities are not yet rounded for show.
 */
export function rank(reference, columns, weightsDb, unmet) {
  const shares = probabilities(weightsDb);
  const texts = new Map(columns.map((column) => [column.seen.trait.code, againstText(column)]));
  const ranked = reference.names.map((taxon, place) => {
    const made = tally(columns, place);
    const lacking = missing(reference, taxon, made, unmet);
    return {
      taxon,
      standing: standingOf(reference, made, weightsDb[place], lacking),
      weightDb: weightsDb[place],
      against: made.against.map((trait) => ({ trait, text: texts.get(trait)(place) })),
      probability: shares[place],
      missing: lacking,
      made,
    };
  });
  return ranked.sort((one, other) => other.weightDb - one.weightDb || (one.taxon < other.taxon ? -1 : 1));
}

/**
 * The first of the look-alikes of a result where it leads the second clearly and nothing rules it out; otherwise nothing
 * stands out: null.
 */
export function clearFirst(reference, [first, second]) {
  if (!first || ["doubtful", "ruled out"].includes(first.standing)) return null;
  if (!second) return first;
  return first.weight_db - second.weight_db >= reference.calibration.leadDb ? first : null;
}

function againstText({ seen, known }) {
  const told = { trait: say(seen.trait.label), measured: measured(seen).text };
  return (place) =>
    say("{trait}: {measured}, documented is {documented}", { ...told, documented: known[place].text });
}
