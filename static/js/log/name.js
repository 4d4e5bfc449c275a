// The name: how it is understood is shown while it is typed; another is written only when it is pressed.
import { rulesSoon } from "./check.js";
import { fill, resting, send } from "./send.js";
import { steadily } from "./sight.js";

const LONGEST = 200;
const WAIT_MS = 15_000;

export function startName(form, check) {
  const typed = form.elements.name_typed;
  const note = document.getElementById("name-note");

  const ask = async () => {
    const known = await rulesSoon();
    if (known) {
      fill(note, known.here.nameFields(known.reference, typed.value.slice(0, LONGEST)));
      return;
    }
    const asked = typed.value;
    let said = "";
    try {
      const signal = AbortSignal.timeout(WAIT_MS);
      said = (await send(`${form.dataset.nameUrl}?name=${encodeURIComponent(asked)}`, { signal })).text;
    } catch {
      // No signal: the name stays as it was typed, and is read when the find is sent.
    }
    if (typed.value === asked) fill(note, said);
  };
  typed.addEventListener("input", resting(ask, 400));
  typed.addEventListener("focus", async () => {
    // The form that is kept on the phone comes without names: they are those of the reference that is here now.
    const known = typed.list.options.length ? null : await rulesSoon();
    if (known && !typed.list.options.length) typed.list.append(...known.here.offeredNames(known.reference).map(option));
  });
  // With a name every reading is answered; without one only measures are drawn. The sheet keeps room by this.
  const mark = () => steadily(() => form.toggleAttribute("data-has-name", typed.value.trim() !== ""));
  typed.addEventListener("input", mark);
  form.addEventListener("restored", mark);
  mark();
  form.addEventListener("restored", ask);

  note.addEventListener("click", (event) => {
    const take = event.target.closest("[name=take_name]");
    if (!take) return;
    event.preventDefault();
    typed.value = take.value;
    mark();
    typed.focus();
    ask();
    check();
  });
}

/** A name that is written, and the English name by which it is found as well. */
function option([value, label]) {
  const made = Object.assign(document.createElement("option"), { value });
  if (label) made.label = label;
  return made;
}
