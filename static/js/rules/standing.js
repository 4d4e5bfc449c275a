// From outcomes to the standing of a taxon: ruled out, doubtful, fits or open; as ledger/traits/standing.py.

import { decide, traitCalibration } from "./outcome.js";

/**
 * What the readings say of the taxon at `place`: {against, agreed, ruledOut}, codes of traits in the order of the columns.
 * A decisive trait rules out only beyond the wider band.
 */
export function tally(columns, place) {
  const made = { against: [], agreed: new Set(), ruledOut: false };
  for (const { seen, known, band, wideBand, decisive } of columns) {
    const here = known[place];
    if (here === null) continue;
    const outcome = decide(seen, here, band);
    if (outcome === "outside") {
      made.against.push(seen.trait.code);
      // States have no band; for numbers the wider one serves.
      if (decisive) made.ruledOut ||= !seen.points.length || decide(seen, here, wideBand) === "outside";
    } else if (outcome !== "cannot tell") {
      made.agreed.add(seen.trait.code);
    }
  }
  return made;
}

/** Decisive traits documented for the taxon and applicable here that no reading has judged yet, by code. */
export function missing(reference, taxon, made, unmet) {
  return documentedDecisive(reference)[reference.taxa.get(taxon).place]
    .filter((code) => !made.agreed.has(code) && !made.against.includes(code) && !unmet.has(code));
}

function documentedDecisive(reference) {
  let found = reference.memo.get("documented decisive");
  if (found === undefined) {
    const decisive = decisiveTraits(reference);
    found = reference.names.map((taxon) => decisive.filter((code) => reference.rangesFor(taxon, code).length));
    reference.memo.set("documented decisive", found);
  }
  return found;
}

function decisiveTraits(reference) {
  return [...reference.traits.keys()].filter((code) => traitCalibration(reference, code).decisive);
}

/**
 * `fits` needs nothing against it, every documented decisive trait judged, and at least one of them agreeing: a taxon of
 * which nothing decisive is documented stays `open`. A broken house rule is something against.
 */
export function standingOf(reference, made, weightDb, lacking, houseRuleBroken = false) {
  if (made.ruledOut) return "ruled out";
  if (weightDb < reference.calibration.doubtfulBelowDb) return "doubtful";
  if (made.against.length || lacking.length || houseRuleBroken) return "open";
  return decisiveTraits(reference).some((code) => made.agreed.has(code)) ? "fits" : "open";
}
