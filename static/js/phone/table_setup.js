// What is chosen once for a whole table: the foray, the day, the place in words. Who keys is who is signed in.
import { fillForays, localDay } from "../log/filling.js";

const place = (id) => document.getElementById(id);

/** The day of the foray; if it is still to come, the table stands today. Days are ISO 8601. */
export const dayOf = (heldOn) => (heldOn < localDay() ? heldOn : localDay());

/** `onChange({foray, day, locality, permission})` is told of each change. */
export function startSetup({ onChange }) {
  const form = place("setup");
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("change", (event) => {
    const { foray, day, locality } = form.elements;
    const chosen = foray.selectedOptions[0];
    const heldOn = chosen?.dataset.heldOn ?? "";
    if (event.target === foray && heldOn) day.value = dayOf(heldOn);
    onChange({
      foray: Number(foray.value) || null,
      day: day.value || localDay(),
      locality: locality.value.trim(),
      permission: chosen?.dataset.permission ?? "",
      forayName: foray.value ? chosen.textContent : "",
    });
  });
  place("setup-done").addEventListener("click", () => {
    form.dispatchEvent(new Event("change", { bubbles: true }));
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
    foray.append(new Option(table.forayName || "chosen before", table.foray));
  }
  if (table.foray) foray.value = table.foray;
  day.value = table.day;
  day.max = localDay();
  locality.value = table.locality;
  place("keyed-by").textContent = who.name;
  place("setup-line").textContent = lineOf(who, table);
}

export function lineOf(who, table) {
  if (!table.isBegun) return "Which foray?";
  const day = new Date(`${table.day}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "long" });
  const known = (who.forays ?? []).find(({ id }) => id === table.foray);
  return `${known?.name ?? (table.forayName || "No foray")}, ${day} · keyed by ${who.name}`;
}
