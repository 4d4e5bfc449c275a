// What a screen says of a check as a whole. The same as ledger/finds/checkup.py; it chooses words, and judges nothing.

import { estimate } from "./estimate.js";

const SAID = {
  fits: "Nothing speaks against it, and every decisive trait that is documented for it has been read.",
  doubtful: "Taken together, the readings speak against it.",
  "ruled out": "A decisive trait is wholly outside what is documented for it.",
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

/**
 * What a check without a name says: [{taxon} or text], the taxon that stands out or how many are open while none does.
 * `first` is the one that stands out (clearFirst of lookalikes.js), or null.
 */
export function standingOut(result, first, many) {
  const open = stillOpenIn(result);
  if (first) return [{ taxon: first.taxon }, ` fits best so far, clearly ahead of the next; ${open} of ${many} taxa are still open.`];
  if (open) return [`${open} of ${many} taxa are still open, and none of them stands out yet.`];
  return [`None of the ${many} taxa of the reference is still open: look at the readings again.`];
}

/** What the standing means here, in plain words, naming the traits. */
export function sentenceOf(reference, result) {
  if (result.standing === null) return result.note ?? "";
  const label = (code) => reference.traits.get(code)?.label.toLowerCase() ?? code;
  const against = result.traits.filter((one) => one.outcome === "outside").map((one) => label(one.trait));
  const outside = against.length ? `Outside: ${against.join(", ")}.` : "";
  if (result.standing === "fits") return SAID.fits;
  if (result.standing !== "open") return `${SAID[result.standing]}${outside && ` ${outside}`}`;
  const start = outside || "Nothing speaks against it.";
  const missing = result.missing.map(label);
  if (!missing.length) return `${start} Not enough has been looked at.`;
  const traits = missing.length === 1 ? "One decisive trait is" : `${missing.length} decisive traits are`;
  return `${start} ${traits} still unread: ${missing.join(", ")}.`;
}
