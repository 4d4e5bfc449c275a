// Names and hosts at the table, by the reference that is on this phone: what is offered, and how a typed name is read.
import { element } from "../log/pieces.js";
import { say, woven } from "../words.js";
import { keptReference } from "./reference.js";

let rules = null;
let taxa = null;

// Latin names and the English ones they are found by, [[name, English name or ""]]; hosts. Empty until they are here.
export const known = { names: [], hosts: [] };

/** Have the reference of this phone, where it has one. Never throws. */
export async function loadNames() {
  if (taxa) return;
  try {
    const pack = await keptReference();
    if (!pack) return;
    const [{ taxaOf }, names] = await Promise.all([import("../rules/pack.js"), import("../rules/names.js")]);
    [rules, taxa] = [names, taxaOf(pack)];
    known.names = rules.namesOffered(taxa);
    known.hosts = pack.form?.host_genera ?? [];
  } catch {
    // A release without these files, or a store that is closed: names are kept as they are typed.
  }
}

/** The name as the ledger will write it: the Latin one where an English one was typed. */
export const written = (typed) => (taxa && typed ? rules.writtenAs(rules.readName(typed, taxa)) : typed);

/** What is said of a typed English name, as elements; nothing of any other. */
export function noteOn(typed) {
  const named = taxa && typed ? rules.readName(typed, taxa) : null;
  if (!named?.english) return [];
  const name = element("b", named.kind === "vernacular" ? named.typed : named.english);
  if (named.kind === "vernacular") {
    return woven(say("{name} is read as {taxon}."), { name, taxon: element("i", named.taxon) });
  }
  return woven(say("{name} is an English name of more than one. Tap the one that is meant."), { name });
}
