// English names, the same as ledger/names/english.py: one that stands for one taxon is read as its Latin name; one that
// stands for several is only offered.

import { allowance, edits } from "./edits.js";
import { tidy } from "./name_words.js";
import { casefold, splitBlanks, strip } from "./text.js";

/** The index by key, each key with its list of {text, accepted, authority, isWide}. `taxa`: each {name, authority, vernacular, local}. */
export function englishNames(taxa) {
  const byKey = new Map();
  for (const isLocal of [false, true]) {
    for (const taxon of taxa) {
      for (const whole of (isLocal ? taxon.local : taxon.vernacular) ?? []) add(byKey, taxon, whole, isLocal);
    }
  }
  return byKey;
}

function add(byKey, { name, authority }, whole, isLocal) {
  const [bare] = whole.split("(");
  const key = keyOf(bare);
  if (!key) return;
  if (!byKey.has(key)) byKey.set(key, []);
  byKey.get(key).push({ text: strip(bare), accepted: name, authority: authority ?? "", isWide: bare !== whole, isLocal });
}

/** The taxa that the typed words are an English name of, word for word. */
export const meantBy = (typed, byKey) => byKey.get(keyOf(typed)) ?? [];

/** English names that may be meant, each [entry, slips of the finger]. */
export function nearTo(typed, byKey) {
  const key = keyOf(typed);
  const near = [];
  for (const [each, entries] of byKey) {
    const slips = edits(key, each, allowance(each));
    if (slips !== null) near.push(...entries.map((entry) => [entry, slips]));
  }
  return near;
}

/** The words alone: no capitals, no apostrophes, and no matter whether hyphens or blanks part them. */
export function keyOf(text) {
  let line;
  try {
    line = tidy(text);
  } catch (error) {
    if (!error.isSaid) throw error;
    return "";
  }
  return splitBlanks(casefold(line).replace(/['.]/g, "").replaceAll("-", " ")).join(" ");
}
