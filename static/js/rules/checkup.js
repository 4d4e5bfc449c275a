// What a screen says of a check as a whole. The same as ledger/finds/checkup.py; it chooses words, and judges nothing.

import { estimate } from "./estimate.js";
import { lowered, say, sayN } from "../words.js";

const SAID = {
  fits: say("Nothing speaks against it, and every decisive trait that is documented for it has been read."),
  doubtful: say("Taken together, the readings speak against it."),
  "ruled out": say("A decisive trait is wholly outside what is documented for it."),
};

/** What of a reading is compared, {low, high, uncertainty}: its mean, or its smallest and largest; null if no number. */
export function decideReach(trait, reading) {
  if (trait.kind !== "number") return null;
  const made = estimate(reading, reading.resolution || trait.resolution || 0);
  if (made === null) return null;
  if (trait.compared === "mean") return { low: made.mean, high: made.mean, uncertainty: made.expandedMean };
  return { low: made.low, high: made.high, uncertainty: made.expandedSingle };
}

/** Taxa that are not ruled out, the named one among them. */
export function stillOpenIn(result) {
  const standings = result.look_alikes.map((candidate) => candidate.standing);
  if (result.standing !== null) standings.push(result.standing);
  return standings.filter((standing) => standing !== "ruled out").length;
}

/** What the standing means here, in plain words, naming the traits. */
export function sentenceOf(reference, result) {
  if (result.standing === null) return result.note ?? "";
  const label = (code) => (reference.traits.has(code) ? lowered(reference.traits.get(code).label) : code);
  const against = result.traits.filter((one) => one.outcome === "outside").map((one) => label(one.trait));
  const outside = against.length ? say("Outside: {traits}.", { traits: against.join(", ") }) : "";
  if (result.standing === "fits") return SAID.fits;
  if (result.standing !== "open") return `${SAID[result.standing]}${outside && ` ${outside}`}`;
  const start = outside || say("Nothing speaks against it.");
  const missing = result.missing.map(label);
  if (!missing.length) return `${start} ${say("Not enough has been looked at.")}`;
  const unread = sayN(
    "One decisive trait is still unread: {traits}.",
    "{n} decisive traits are still unread: {traits}.",
    missing.length,
    { traits: missing.join(", ") },
  );
  return `${start} ${unread}`;
}
