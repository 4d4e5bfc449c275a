// Near the photos, which views are still missing: said anew with every photo, and with what is read of the fungus.
import { rulesHere } from "./check.js";
import { missingSays, missingViews } from "./view_gaps.js";

const TELLING = new Set(["r-habit-states", "r-underside-states", "name_typed"]);

export function startViewsLeft(form, draft) {
  const line = document.getElementById("views-left");
  if (!line) return;

  async function tell() {
    const documented = await documentedOf(form);
    if (!form.isConnected) return;
    const there = document.getElementById("photos");
    const views = [
      ...draft.find.photos.filter(({ isDark }) => !isDark).map(({ view }) => view),
      ...[...form.querySelectorAll('select[name^="photo-view-"]')].map(({ value }) => value),
      ...(there.dataset.views ?? "").split(" "),
    ];
    const missing = missingViews(views, {
      habits: ticked(form, "habit") ?? documented.habit,
      undersides: ticked(form, "underside") ?? documented.underside,
      hasScale: Boolean(form.querySelector("[data-has-scale]")),
    });
    const said = missingSays(missing, { isAmended: draft.isAmendment === true });
    // Written only where it is another: it is read out.
    if (line.textContent !== said) line.textContent = said;
  }

  form.addEventListener("photos", tell);
  form.addEventListener("restored", tell);
  form.addEventListener("ready", tell);
  form.addEventListener("change", ({ target }) => {
    if (TELLING.has(target.name) || target.name?.startsWith("photo-view-")) tell();
  });
}

/** What was ticked of a trait, or null. */
function ticked(form, trait) {
  const states = [...form.querySelectorAll(`[name="r-${trait}-states"]:checked`)].map(({ value }) => value);
  return states.length ? states : null;
}

/** {habit, underside}: the states the sources document for the taxon named; empty without a name or a reference. */
async function documentedOf(form) {
  const known = form.elements.name_typed.value.trim() ? await rulesHere() : null;
  if (!known) return { habit: [], underside: [] };
  return known.here.documentedStates(known.reference, form.elements.name_typed.value, ["habit", "underside"]);
}
