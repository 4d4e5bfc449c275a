// Photos that wait on the ledger for a find that is still typed, as a form sent without a store leaves them: what their buttons
// do. The ledger answers with the whole form; only what the photo fills and the list of photos are taken from it.
import { putIn } from "./filling.js";
import { send, typed } from "./send.js";
import { say } from "../words.js";

const BUTTONS = "[name=use_photo], [name=remove_photo]";
// What a photo can fill (ledger/finds/photo_actions.py).
const FILLED = ["position_typed", "position_source", "uncertainty_m", "altitude_m", "found_on", "found_at_time", "utc_offset_minutes"];

export const isOfServerPhoto = (button) => Boolean(button?.matches(BUTTONS));

/** `touch()` is told when something was put into the form. Throws nothing: without an answer all stays, and it says so. */
export async function pressServerPhoto(form, button, { touch }) {
  const note = document.getElementById("photo-note");
  const data = typed(form);
  data.set(button.name, button.value);
  let text;
  try {
    ({ text } = await send(form.action, { data }));
  } catch {
    note.textContent = say("The ledger could not be reached. Nothing was changed; try again where there is a signal.");
    return;
  }
  note.textContent = "";
  const page = new DOMParser().parseFromString(text, "text/html");
  document.getElementById("photos").replaceChildren(...page.getElementById("photos").childNodes);
  if (button.name !== "use_photo") return;
  const filled = page.getElementById("log-form").elements;
  putIn(form, FILLED.map((name) => [name, filled[name].value]));
  form.dispatchEvent(new CustomEvent("placed", { detail: form.elements.position_source.value }));
  touch();
}
