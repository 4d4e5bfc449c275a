// A typed name against the known ones, the same as ledger/names/match.py. It offers, it never replaces: what was typed
// stays until a person chooses.

import { allowance, edits } from "./edits.js";
import { englishNames, meantBy, nearTo } from "./english.js";
import { canonicalOf, parseName } from "./name_parse.js";
import { LETTER, WORD, byCharacter, casefold, lengthOf } from "./text.js";
import { say } from "../words.js";

const MOST_CANDIDATES = 8;
// Behind every slip of the finger: the same epithet under another genus may be an old combination.
const OTHER_GENUS = 20;
const ORDER = ["exact", "synonym", "misapplied", "vernacular", "near"];
// Endings that change when an epithet moves to a genus of another gender (betulinus, betulina, betulinum).
const GENDER = /(?:us|a|um|is|e)$/u;
const CAPITAL_EPITHET = new RegExp(`^${LETTER}{4,}(?:-${LETTER}+)?$`, "u");
const NOT_OF_AUTHOR = new RegExp(`[^${WORD}()&]`, "gu");

/** The index of all names of `taxa`, each {name, authority, family, order, synonyms, vernacular, local}. Keep it. */
export function knownNames(taxa) {
  const all = [...taxa];
  const entries = [];
  const higher = new Set();
  for (const taxon of all) {
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
  return { entries, higher, byCanonical, english: englishNames(all) };
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
 * {kind, typed, name, candidates, why, english}: what the typed name may stand for, best first.
 *
 * kind: "exact", "synonym", "vernacular" (an English name of one taxon), "near" or "none"; `name` is null where it could
 * not be read (`why`); `english` is the English name that was typed, as the reference writes it. A candidate is
 * {name, authority, kind, via, edits, note}.
 */
export function matchName(typed, known) {
  const [name, why] = parsed(typed);
  const match = { kind: "none", typed, name, candidates: [], why, english: "" };
  if (name && (name.unnamed || name.genus === null)) return { ...match, why: say("No name was given.") };
  let candidates = name ? whole(name, known) : [];
  if (!candidates.length) {
    const english = meantBy(typed, known.english);
    if (english.length) return byEnglish(match, english);
    candidates = nearToAny(typed, name, known);
  }
  if (!candidates.length) {
    return name ? { ...match, why: say("{name} is not in the reference, nor anything like it.", { name: canonicalOf(name) }) } : match;
  }
  const best = candidates[0].kind;
  const kind = best === "misapplied" ? "synonym" : best;
  return { ...match, kind, candidates: candidates.slice(0, MOST_CANDIDATES) };
}

/** [name, ""], or [null, why it is none]. */
function parsed(typed) {
  try {
    return [parseName(typed), ""];
  } catch (error) {
    if (!error.isSaid) throw error;
    return [null, error.message];
  }
}

/** An English name of one taxon stands for it; of several, or used in a broad sense, it is only offered. */
function byEnglish(match, found) {
  const isSure = new Set(found.map((entry) => entry.accepted)).size === 1 && !found[0].isWide;
  const kind = isSure ? "vernacular" : "near";
  const candidates = distinct(found.map((entry) => englishCandidate(entry, kind, 0))).slice(0, MOST_CANDIDATES);
  const name = isSure ? parseName(candidates[0].name) : match.name;
  return { ...match, kind, name, candidates, why: "", english: found[0].text };
}

/** Names that may be meant, Latin and English ones. */
function nearToAny(typed, name, known) {
  const latin = name ? (name.epithet ? near(name, known) : nearGenus(name, known)) : [];
  const english = nearTo(typed, known.english).map(([entry, slips]) => englishCandidate(entry, "near", slips));
  return distinct([...latin, ...english]);
}

function englishCandidate({ text, accepted, authority, isLocal }, kind, slips) {
  const values = { name: text, taxon: accepted };
  const note = isLocal
    ? say("{name} is a name that the club has for {taxon}", values)
    : say("{name} is an English name of {taxon}", values);
  return { name: accepted, authority, kind, via: text, edits: slips, note };
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
    same.map((entry) => {
      const note = say("{name} stands in the synonym {synonym}", { name: name.genus, synonym: entry.text });
      return candidate(entry, "synonym", 0, note);
    }),
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
    found.push(...species.map((entry) => candidate(entry, "near", 1, say("the reference knows the species only"))));
  }
  return distinct(found);
}

function byGenus(name, entry, slips, sameStem) {
  const genus = name.genus ?? "";
  if (isAbbreviated(name)) {
    if (!casefold(entry.genus).startsWith(casefold(genus.slice(0, -1)))) return [];
    const note = say("{name} may stand for {genus}", { name: genus, genus: entry.genus });
    return [candidate(entry, "near", slips, note)];
  }
  const inGenus = edits(casefold(genus), casefold(entry.genus), allowance(entry.genus));
  if (inGenus !== null) return [candidate(entry, "near", slips + inGenus, say("one of the two may be misspelt"))];
  if (sameStem && lengthOf(entry.epithet) >= 5) {
    const note = say("same epithet in another genus, {genus}", { genus: entry.genus });
    return [candidate(entry, "near", OTHER_GENUS + slips, note)];
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
    if (slips !== null) found.push({ ...wordAlone(word, "near"), edits: slips, note: say("may be misspelt") });
  }
  for (const entry of known.entries) {
    const slips = entry.epithet ? edits(typed, entry.epithet, allowance(entry.epithet)) : null;
    if (slips !== null) {
      found.push(candidate(entry, "near", slips + 1, say("an epithet alone: the genus is missing")));
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
  const note = say("{author} was read as an author; it may be the epithet", { author: name.authority });
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
  const meant = { name: entry.text, taxon: entry.accepted };
  if (entry.kind === "synonym") return say("{name} is a synonym of {taxon}", meant);
  if (entry.kind === "misapplied") return say("the name has been misapplied: {name} is {taxon}", meant);
  if (name.authority && entry.authority && squeezed(name.authority) !== squeezed(entry.authority)) {
    return say("the author typed, {typed}, differs from that of the reference, {author}", {
      typed: name.authority, author: entry.authority,
    });
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
