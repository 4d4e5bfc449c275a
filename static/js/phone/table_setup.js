// What is chosen once for a whole table: the foray, the day, the place, who brings finds. Who keys is who is signed in.
import { fillForays, localDay } from "../log/filling.js";
import { element } from "../log/pieces.js";
import { say, sayN } from "../words.js";
import { left } from "./number_blocks.js";
import { getKept } from "./store.js";
import { keyOf } from "./table_day.js";
import { TablePlace } from "./table_place.js";

const place = (id) => document.getElementById(id);

/** The day of the foray; if it is still to come, the table stands today. Days are ISO 8601. */
export const dayOf = (heldOn) => (heldOn < localDay() ? heldOn : localDay());

let where = null;
// The table the boxes were last about.
let keyBefore = null;

/** `onChange({foray, day, locality, permission, place})` is told of each change. */
export function startSetup({ onChange }) {
  const form = place("setup");
  form.addEventListener("submit", (event) => event.preventDefault());
  const changed = () => form.dispatchEvent(new Event("change", { bubbles: true }));
  where = new TablePlace(form, { onChange: changed });
  form.addEventListener("change", (event) => {
    // Whom the table expects is no box of the setup.
    if (event.target.closest?.("[data-pick]")) return;
    const { foray, day, locality } = form.elements;
    const chosen = foray.selectedOptions[0];
    const heldOn = chosen?.dataset.heldOn ?? "";
    if (event.target === foray && heldOn) day.value = dayOf(heldOn);
    const chosenNow = { foray: Number(foray.value) || null, day: day.value || localDay() };
    const key = keyOf(chosenNow);
    // The place of one foray is not that of the next.
    if (keyBefore !== key && (event.target === foray || event.target === day)) where.show(null, key);
    keyBefore = key;
    onChange({
      ...chosenNow,
      place: where.given(key),
      locality: locality.value.trim(),
      permission: chosen?.dataset.permission ?? "",
      forayName: foray.value ? chosen.textContent : "",
    });
  });
  place("setup-done").addEventListener("click", () => {
    changed();
    if (place("setup-place-note").classList.contains("field__error")) {
      form.elements.position.focus();
      return;
    }
    place("table-setup").open = false;
    place("entry-head").focus();
  });
}

/** The forays this phone knows, and what was chosen before. */
export function fillSetup(who, table) {
  const form = place("setup");
  const { foray, day, locality } = form.elements;
  fillForays(form, who.forays ?? [], { today: localDay(), choose: !table.isBegun && !table.foray });
  for (const { id, held_on: heldOn, permission } of who.forays ?? []) {
    const option = [...foray.options].find(({ value }) => value === String(id));
    Object.assign(option.dataset, { heldOn, permission: permission ?? "" });
  }
  if (table.foray && ![...foray.options].some(({ value }) => value === String(table.foray))) {
    foray.append(new Option(table.forayName || say("chosen before"), table.foray));
  }
  if (table.foray) foray.value = table.foray;
  day.value = table.day;
  day.max = localDay();
  locality.value = table.locality;
  keyBefore = keyOf({ foray: Number(foray.value) || null, day: day.value });
  if (!form.contains(document.activeElement) && !where.stop) where.show(table.place, keyBefore);
  place("keyed-by").textContent = who.name;
  place("setup-line").textContent = lineOf(who, table);
}

/** How many numbers each of those at the table has on this phone: `people` are persons with a row of their own. */
export async function drawNumbers(people) {
  const blocks = (await getKept("blocks")) ?? {};
  const members = people.filter(({ member }) => member !== null);
  const said = members.map(({ member, name, code }) => {
    const many = left(blocks[member]);
    return element(
      "li",
      many
        ? sayN("{name} ({code}): {n} number", "{name} ({code}): {n} numbers", many, { name, code })
        : say("{name} ({code}): no numbers yet", { name, code }),
    );
  });
  place("setup-numbers").replaceChildren(...said);
}

export function lineOf(who, table) {
  if (!table.isBegun) return say("Which foray?");
  const tongue = document.documentElement.lang;
  const day = new Date(`${table.day}T12:00`).toLocaleDateString(tongue, { day: "numeric", month: "long" });
  const known = (who.forays ?? []).find(({ id }) => id === table.foray);
  const foray = known?.name ?? (table.forayName || say("No foray"));
  return say("{foray}, {day} · keyed by {name}", { foray, day, name: who.name });
}
