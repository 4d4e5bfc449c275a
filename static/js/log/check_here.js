// The check worked out on this phone: loaded once the form can be used, and with it the reference.
import { getKept } from "../phone/store.js";
import { keptReference, renewReference } from "../phone/reference.js";
import { checkSpecimen } from "../rules/check.js";
import { specimenOf } from "../rules/form.js";
import { nameNote, namesOffered, readName } from "../rules/names.js";
import { loadPack } from "../rules/pack.js";
import { makeReady } from "../rules/ready.js";
import { enteredIn, nameNoteHtml, slotsOf } from "./check_panel.js";

let reference = null;
let loadedFrom = null;

/** The reference of this phone, or null where it has none and cannot fetch it now. */
export async function referenceHere() {
  const pack = (await keptReference()) ?? (await renewReference((await getKept("hello").catch(() => null))?.reference));
  if (!pack) return null;
  if (pack !== loadedFrom) {
    [reference, loadedFrom] = [loadPack(pack), pack];
    await makeReady(reference, { state: "fresh" });
    // The index of names is made with the first name that is read: better now than under the first letter.
    readName(reference.names[0], reference.taxa);
  }
  return reference;
}

/** All slots of the form, {name: answer}, for its fields. `isDry`: nothing is asked for that drying has destroyed. */
export function checkFields(known, fields, icons, { isDry = false } = {}) {
  const made = specimenOf(fields, known);
  const result = checkSpecimen(known, made.specimen);
  return slotsOf({ reference: known, made, result, entered: enteredIn(fields, made.specimen), icons, isDry });
}

/** {trait: sentence} of the readings that cannot be taken as they are typed. */
export const readingProblems = (known, fields) => specimenOf(fields, known).problems;

/** {trait: states} that any source documents of these traits for the taxon typed; empty where it names none. */
export function documentedStates(known, typed, traits) {
  const { taxon } = readName(typed, known.taxa);
  const statesOf = (trait) => {
    const bits = known.rangesFor(taxon, trait).reduce((all, row) => all | (row.bits ?? 0), 0);
    return known.traits.get(trait).states.map(({ code }) => code).filter((code) => bits & known.traits.get(trait).bitOf.get(code));
  };
  return Object.fromEntries(traits.map((trait) => [trait, statesOf(trait)]));
}

/** What the list under the box of the host offers: genera. A reference from before they came with it offers none. */
export const offeredHosts = (known) => known.form.host_genera ?? [];

/** What the list under the name box offers, as names.js gives it. */
export const offeredNames = (known) => namesOffered(known.taxa);

/** How a typed name is understood, as HTML. */
export function nameFields(known, typed) {
  const named = readName(typed, known.taxa);
  return nameNoteHtml(nameNote(named), named.kind === "near");
}
