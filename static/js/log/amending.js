// A find the ledger has is opened to be amended: as its page brought it, or as this phone knows it.
import { getOwn } from "../phone/store.js";
import { nameAmendment } from "./heading.js";
import { element } from "./pieces.js";
import { photosThere } from "./views.js";

/**
 * {find, putBack, isMissing}: the find the form writes, and the fields to fill it with where its page did not bring them.
 * Unsent changes come before both.
 */
export async function beginAmending(form, mine, found) {
  const isUnsent = found && found.state !== "confirmed";
  if (form.dataset.number) {
    if (isUnsent) return { find: found, putBack: found.fields };
    const version = Number(form.elements.version.value) || null;
    const stored = { version, openedAt: form.elements.opened_at.value || null, number: form.dataset.number };
    return { find: { ...mine.find, ...found, ...stored, onLedger: true, state: "typing" } };
  }
  const own = await getOwn(mine.find.id);
  const number = found?.number ?? own?.number;
  nameAmendment(form, number);
  if (own) showPhotosThere(form, own.photos ?? [], found?.photos ?? []);
  if (isUnsent) return { find: found, putBack: found.fields };
  // A copy older than what went from here since would be sent against the wrong version.
  if (!own || own.version < (found?.version ?? 0)) return { find: found ?? null, isMissing: true };
  const stored = {
    version: own.version,
    openedAt: own.changed_at,
    number,
    onLedger: true,
    state: "typing",
    theirs: null,
  };
  return { find: { ...mine.find, ...found, ...stored }, putBack: own.fields };
}

/** Photos that are on the ledger cannot be drawn without a signal; which they are is said, and ticked on their tiles. */
function showPhotosThere(form, photos, here) {
  // One that still lies here, or that the ledger has confirmed since, counts once.
  const known = new Set(photos.map(({ sha256 }) => sha256));
  const there = [...photos, ...here.filter(({ sha256, confirmed }) => confirmed && !known.has(sha256))];
  document.getElementById("photos").dataset.views = there.map(({ view }) => view).join(" ");
  const said = photosThere(there);
  if (!said) return;
  document.getElementById("photos").replaceChildren(element("p", said, { className: "log-note" }));
  for (const { view } of there) {
    if (view) form.querySelector(`.shot__input[data-view="${CSS.escape(view)}"]`)?.closest(".shot").classList.add("is-done");
  }
}
