// What can only be looked at fresh is asked for as long as it can be: not of a find of last week, nor of a dry specimen.
import { hasDried } from "../rules/dried.js";
import { localDay } from "./filling.js";

/** Whether the specimen in the form has dried, by its state and its day. */
export const isDry = (form) =>
  hasDried({
    foundOn: form.elements.found_on.value,
    state: new FormData(form).get("specimen_state") ?? "",
    today: localDay(),
  });

export function startFresh(form) {
  const show = () => form.toggleAttribute("data-has-dried", isDry(form));
  for (const kind of ["input", "change", "restored", "placed", "ready"]) form.addEventListener(kind, show);
  show();
}
