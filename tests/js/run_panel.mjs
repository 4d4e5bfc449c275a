// The check as the form draws it, asked by a test: {"pack"} sets the reference; {"fields"} is answered by the slots,
// {"name"} by the note under a name.
import { enteredIn, nameNoteHtml, slotsOf } from "../../static/js/log/check_panel.js";
import { checkSpecimen } from "../../static/js/rules/check.js";
import { hasDried } from "../../static/js/rules/dried.js";
import { specimenOf } from "../../static/js/rules/form.js";
import { nameNote, readName } from "../../static/js/rules/names.js";
import { loadPack } from "../../static/js/rules/pack.js";
import { answerLines } from "./lines.mjs";

let reference = null;

/** An answer with all that is drawn only when it is opened. */
const whole = (answer) => [answer].flat().map((piece) => piece.html ?? piece).join("");

function answer({ pack, fields, name, icons }) {
  if (pack) {
    reference = loadPack(pack);
    return reference.digest;
  }
  if (name !== undefined) {
    const named = readName(name, reference.taxa);
    return nameNoteHtml(nameNote(named), named.kind === "near");
  }
  const made = specimenOf(fields, reference);
  const result = checkSpecimen(reference, made.specimen);
  const said = Object.fromEntries(fields);
  const isDry = hasDried({ foundOn: said.found_on, state: said.specimen_state, today: new Date().toISOString().slice(0, 10) });
  const slots = slotsOf({ reference, made, result, entered: enteredIn(fields, made.specimen), icons, isDry });
  return Object.fromEntries(Object.entries(slots).map(([slot, answer]) => [slot, whole(answer)]));
}

answerLines(answer);
