// A typed name against the known ones, the same as ledger/names/match.py. It offers, it never replaces: what was typed
// stays until a person chooses.

import { canonicalOf, parseName } from "./name_parse.js";
import { LETTER, WORD, byCharacter, casefold, lengthOf } from "./text.js";

const MOST_CANDIDATES = 8;
// Behind every slip of the finger: the same epithet under another genus may be an old combination.
const OTHER_GENUS = 20;
const ORDER = ["exact", "synonym", "misapplied", "near"];
// Endings that change when an epithet moves to a genus of another gender (betulinus, betulina, betulinum).
const GENDER = /(?:us|a|um|is|e)$/u;
const CAPITAL_EPITHET = new RegExp(`^${LETTER}{4,}(?:-${LETTER}+)?$`, "u");
const NOT_OF_AUTHOR = new RegExp(`[^${WORD}()&]`, "gu");

/** The index of accepted names and synonyms of `taxa`: each {name, authority, family, order, synonyms}. Keep it. */
export function knownNames(taxa) {
  const entries = [];
  const higher = new Set();
  for (const taxon of taxa) {
    for (const word of [taxon.family, taxon.order]) if (word) higher.add(word);
    addEntry(entries, taxon, taxon.name, "exact");
    const synonyms = [...(taxon.synonyms ?? [])].sort(byCharacter);
    for (const synonym of synonyms) addEntry(entries, taxon, synonym, "synonym");
  }
  const byCanonical = new Map();
  for (const entry of entries) {
    const key = casefold(entry.canonical);
    if (!byCanonical.has(key)) byCanonical.set(key, []);
    byCanonical.get(key).push(entry);
  }
  for (const found of byCanonical.values()) {
    found.sort((a, b) => ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind));
  }
  return { entries, higher, byCanonical };
}

function addEntry(entries, taxon, text, kind) {
  let name;
  try {
    name = parseName(text);
  } catch (error) {
    if (!error.isSaid) throw error;
    return; // the ledger lists names of the reference that cannot be read
  }
  if (name.unnamed) return;
  entries.push({
    text,
    canonical: canonicalOf(name),
    genus: name.genus ?? "",
    epithet: name.infra || name.epithet || "",
    accepted: taxon.name,
    authority: taxon.authority ?? "",
    kind: kind === "synonym" && !["", "s.str."].includes(name.sense) ? "misapplied" : kind,
  });
}

/**
 * {kind, typed, name, candidates, why}: what the typed name may stand for, best first.
 *
 * kind: "exact", "synonym", "near" or "none"; `name` is null where it could not be read (`why`). A candidate is
 * {name, authority, kind, via, edits, note}.
 */
export function matchName(typed, known) {
  const match = { kind: "none", typed, name: null, candidates: [], why: "" };
  let name;
  try {
    name = parseName(typed);
  } catch (error) {
    if (!error.isSaid) throw error;
    return { ...match, why: error.message };
  }
  if (name.unnamed || name.genus === null) return { ...match, name, why: "No name was given." };
  let candidates = whole(name, known);
  if (!candidates.length) candidates = name.epithet ? near(name, known) : nearGenus(name, known);
  if (!candidates.length) {
    return { ...match, name, why: `${canonicalOf(name)} is not in the reference, nor anything like it.` };
  }
  const best = candidates[0].kind;
  const kind = best === "misapplied" ? "synonym" : best;
  return { ...match, kind, name, candidates: candidates.slice(0, MOST_CANDIDATES) };
}

/** Candidates whose known name is the typed one, letter for letter. */
function whole(name, known) {
  const canonical = canonicalOf(name);
  const found = known.byCanonical.get(casefold(canonical));
  if (found) return found.map((entry) => candidate(entry, entry.kind, 0, noteOf(entry, name)));
  if (name.epithet || name.genus === null) return [];
  if (known.higher.has(canonical)) return [wordAlone(canonical, "exact")];
  const same = known.entries.filter((entry) => entry.genus === name.genus);
  if (same.some((entry) => entry.kind === "exact")) {
    const meant = capitalEpithet(name, known);
    return meant.length ? meant : [wordAlone(name.genus, "exact")];
  }
  if (isAbbreviated(name)) return [];
  return distinct(
    same.map((entry) => candidate(entry, "synonym", 0, `${name.genus} stands in the synonym ${entry.text}`)),
  );
}

function near(name, known) {
  const typed = casefold(name.infra || name.epithet || "");
  const found = [];
  for (const entry of known.entries) {
    if (!entry.epithet) continue;
    const byEpithet = edits(typed, entry.epithet, allowance(entry.epithet));
    const sameStem = stem(typed) === stem(entry.epithet);
    if (byEpithet === null && !sameStem) continue;
    const slips = byEpithet === 0 ? 0 : Math.min(byEpithet ?? 1, sameStem ? 1 : 99);
    found.push(...byGenus(name, entry, slips, sameStem));
  }
  if (name.infra) {
    const species = known.byCanonical.get(casefold(`${name.genus} ${name.epithet}`)) ?? [];
    found.push(...species.map((entry) => candidate(entry, "near", 1, "the reference knows the species only")));
  }
  return distinct(found);
}

function byGenus(name, entry, slips, sameStem) {
  const genus = name.genus ?? "";
  if (isAbbreviated(name)) {
    if (!casefold(entry.genus).startsWith(casefold(genus.slice(0, -1)))) return [];
    return [candidate(entry, "near", slips, `${genus} may stand for ${entry.genus}`)];
  }
  const inGenus = edits(casefold(genus), casefold(entry.genus), allowance(entry.genus));
  if (inGenus !== null) return [candidate(entry, "near", slips + inGenus, "one of the two may be misspelt")];
  if (sameStem && lengthOf(entry.epithet) >= 5) {
    return [candidate(entry, "near", OTHER_GENUS + slips, `same epithet in another genus, ${entry.genus}`)];
  }
  return [];
}

/** One word alone: a genus, family or order misspelt, or an epithet without its genus. */
function nearGenus(name, known) {
  const epithet = epithetInCapitals(name);
  if (epithet) {
    const meant = near({ ...name, epithet }, known);
    if (meant.length) return meant;
  }
  const typed = casefold(name.genus ?? "");
  const words = new Set(known.higher);
  for (const entry of known.entries) if (entry.kind === "exact") words.add(entry.genus);
  const found = [];
  for (const word of words) {
    const slips = edits(typed, casefold(word), allowance(word));
    if (slips !== null) found.push({ ...wordAlone(word, "near"), edits: slips, note: "may be misspelt" });
  }
  for (const entry of known.entries) {
    const slips = entry.epithet ? edits(typed, entry.epithet, allowance(entry.epithet)) : null;
    if (slips !== null) {
      found.push(candidate(entry, "near", slips + 1, "an epithet alone: the genus is missing"));
    }
  }
  return distinct(found);
}

/** Versicolor in "Trametes Versicolor": read as an author, but a phone's keyboard may have made the capital. */
function epithetInCapitals(name) {
  return CAPITAL_EPITHET.test(name.authority) ? casefold(name.authority) : null;
}

function capitalEpithet(name, known) {
  const epithet = epithetInCapitals(name);
  if (epithet === null) return [];
  const note = `${name.authority} was read as an author; it may be the epithet`;
  const found = known.byCanonical.get(casefold(`${name.genus} ${epithet}`)) ?? [];
  return distinct(found.map((entry) => candidate(entry, "near", 0, note)));
}

function candidate(entry, kind, slips, note) {
  return { name: entry.accepted, authority: entry.authority, kind, via: entry.text, edits: slips, note };
}

function wordAlone(word, kind) {
  return { name: word, authority: "", kind, via: word, edits: 0, note: "" };
}

function noteOf(entry, name) {
  if (entry.kind === "synonym") return `${entry.text} is a synonym of ${entry.accepted}`;
  if (entry.kind === "misapplied") return `the name has been misapplied: ${entry.text} is ${entry.accepted}`;
  if (name.authority && entry.authority && squeezed(name.authority) !== squeezed(entry.authority)) {
    return `the author typed, ${name.authority}, differs from that of the reference, ${entry.authority}`;
  }
  return "";
}

function squeezed(authority) {
  return casefold(authority.replaceAll(" et ", " & ").replace(NOT_OF_AUTHOR, ""));
}

function isAbbreviated(name) {
  return name.genus !== null && name.genus.endsWith(".");
}

function stem(epithet) {
  return epithet.replace(GENDER, "");
}

/** One line for each accepted name, by the nearest way to it; best first, then by name. */
function distinct(found) {
  const sorted = [...found].sort(
    (a, b) =>
      ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind) ||
      a.edits - b.edits ||
      byCharacter(a.name, b.name) ||
      byCharacter(a.via, b.via),
  );
  const best = new Map();
  for (const each of sorted) if (!best.has(each.name)) best.set(each.name, each);
  return [...best.values()];
}

/**
 * Letters put in, left out, changed or swapped with the next one (optimal string alignment); null above `limit`.
 * The same as ledger/names/edits.py.
 */
export function edits(one, other, limit) {
  const [from, to] = [[...one], [...other]];
  if (Math.abs(from.length - to.length) > limit) return null;
  let before = [];
  let last = to.map((_, j) => j);
  last.push(to.length);
  for (let i = 1; i <= from.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= to.length; j += 1) {
      let cost = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (from[i - 1] === to[j - 1] ? 0 : 1));
      if (i > 1 && j > 1 && from[i - 1] === to[j - 2] && from[i - 2] === to[j - 1]) {
        cost = Math.min(cost, before[j - 2] + 1);
      }
      row.push(cost);
    }
    if (Math.min(...row) > limit && Math.min(...last) > limit) return null;
    [before, last] = [last, row];
  }
  const count = last.at(-1);
  return count <= limit ? count : null;
}

/** How many slips are still taken for the same word: one in short words, three in long ones. */
function allowance(word) {
  const length = lengthOf(word);
  return length <= 5 ? 1 : length <= 9 ? 2 : 3;
}
