// How a typed name is understood, the same as ledger/finds/naming.py: which known taxon it means, or which ones it
// might. Never silently replaced.

import { knownNames, matchName } from "./name_match.js";
import { firstOf, splitBlanks } from "./text.js";
import { say, woven } from "../words.js";

const PROPOSALS_SHOWN = 4;
const SURE = ["exact", "synonym", "vernacular"];
const known = new WeakMap();

/**
 * A typed name as it was understood: {typed, kind, taxon, authority, qualifier, near, note, english}.
 *
 * `taxa` is a Map of the taxa of the reference by name, each {name, authority, family, order, synonyms, vernacular}; the
 * index made of it is kept with it. kind: "" (unnamed), "exact", "synonym", "vernacular" (an English name of one taxon),
 * "near" (only proposals), "rank" (a known genus, family or order) or "none". `taxon` is the known taxon the check
 * compares with, or null. `near` are known names that may be meant: they are offered, and taken only when somebody
 * chooses one. `note` is what a person should know. `english` is the English name that was typed.
 */
export function readName(text, taxa) {
  const typed = splitBlanks(text).join(" ");
  const named = { typed, kind: "", taxon: null, authority: "", qualifier: "", near: [], note: "", english: "" };
  if (!typed) return named;
  const match = matchName(typed, indexOf(taxa));
  if (match.name?.unnamed) return { ...named, note: match.why };
  const { name, candidates, english } = match;
  const qualifier = name ? firstOf(name.qualifier || name.groupMark || name.speciesUnnamed, 10) : "";
  const best = candidates[0];
  if (best && SURE.includes(match.kind) && isSure(candidates, taxa)) {
    const { authority } = taxa.get(best.name);
    return { ...named, kind: match.kind, taxon: best.name, authority, qualifier, note: best.note, english };
  }
  if (best && match.kind === "exact") return { ...named, kind: "rank", qualifier, note: best.note };
  const near = candidates.map((one) => one.name).filter((each) => taxa.has(each)).slice(0, PROPOSALS_SHOWN);
  if (near.length) return { ...named, kind: "near", qualifier, near, note: best.note, english };
  return { ...named, kind: "none", qualifier, note: match.why };
}

/** The name that is kept: as it was typed, but the Latin one where an English one was typed. */
export const writtenAs = (named) => (named.kind === "vernacular" ? named.taxon : named.typed);

/** Names for the list under a name box, [what is written, the English name it is offered by or ""], in the order of names. */
export function namesOffered(taxa) {
  return [...taxa.values()].flatMap(({ name, vernacular, local }) =>
    ["", ...(vernacular ?? []), ...(local ?? [])].map((other) => [name, other]),
  );
}

/**
 * What the form says under a name: {text: pieces, takes}, or null where nothing is typed.
 *
 * A piece is a text, or {taxon, authority} to be set as a name, {said} for the words typed, {soft} for a remark. `takes` are the names that may
 * be written instead, each {name, label}. The words are those of templates/finds/_name_note.html.
 */
export function nameNote(named) {
  const taxon = { taxon: named.taxon, authority: named.authority };
  switch (named.kind) {
    case "":
      return null;
    case "exact":
      return {
        text: [
          ...woven(say("Known: {taxon}"), { taxon }),
          ...(named.qualifier ? [" ", { soft: say("({qualifier} is kept)", { qualifier: named.qualifier }) }] : []),
        ],
        takes: [],
      };
    case "synonym":
      return {
        text: [...woven(say("A synonym. The check reads it as {taxon}; your name stays as typed."), { taxon }), " "],
        takes: [{ name: named.taxon, label: say("Write {taxon}", { taxon: named.taxon }) }],
      };
    case "vernacular":
      return {
        text: [
          ...woven(say("{typed} is read as {taxon}. It is kept under that name, with your words beside it."), {
            typed: { said: named.typed }, taxon,
          }),
          " ",
        ],
        takes: [{ name: named.taxon, label: say("Write {taxon}", { taxon: named.taxon }) }],
      };
    case "near":
      return {
        text: [
          ...(named.english
            ? woven(say("{english} is an English name of more than one."), { english: { said: named.english } })
            : [say("Not a known name.")]),
          ` ${say("Kept as typed. Did you mean")}`,
        ],
        takes: named.near.map((name) => ({ name, label: name })),
      };
    case "rank":
      return { text: [say("A name above the species is kept as typed; the check then ranks all taxa.")], takes: [] };
    default:
      return {
        text: [say("The reference does not hold this name. It is kept as typed; the check then ranks all taxa.")],
        takes: [],
      };
  }
}

/** One accepted species and no other; a name that was misapplied, or means two, is only proposed. */
function isSure(candidates, taxa) {
  const [best] = candidates;
  const alone = candidates.every((one) => one.kind !== best.kind || one.name === best.name);
  return taxa.has(best.name) && SURE.includes(best.kind) && alone;
}

function indexOf(taxa) {
  if (!known.has(taxa)) known.set(taxa, knownNames(taxa.values()));
  return known.get(taxa);
}
