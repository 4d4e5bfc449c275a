// Wires the log form: on the ledger's own page and on the page this phone keeps, which says nothing personal.
import { FORM, LOG } from "../phone/addresses.js";
import { startArrivals } from "../phone/arrivals.js";
import { keepSending } from "../phone/outbox.js";
import { NoStore } from "../phone/store.js";
import { tellElsewhere } from "./aside.js";
import { openLinked, startBoxes } from "./boxes.js";
import { startChecking } from "./check.js";
import { Draft } from "./drafts.js";
import { localDay } from "./filling.js";
import { startFresh } from "./fresh.js";
import { showNumberOfLedger } from "./heading.js";
import { startHosts } from "./hosts.js";
import { startKeeping, tellNotStored, tellRefused } from "./keeping.js";
import { startName } from "./name.js";
import { open } from "./opening.js";
import { startPhotos } from "./photos.js";
import { startPhotoSays } from "./photo_says.js";
import { startPlace } from "./place.js";
import { forgetSlip, slipOf } from "./slip.js";
import { clearAtKeep } from "./troubles.js";
import { startViewsLeft } from "./views_left.js";

const page = document.getElementById("log-page");
// The page as it came, without what is typed: a fresh form is made of it without asking the ledger. Text is made four
// times as fast as a copy of every field.
const pristine = page.innerHTML;
let draft = null;
let isTold = false;
let arrivals = null;

/** {id, isAmendment, isAskedFor, slip}: the find this page was opened for, or a new one, of a paper slip or of none. */
function whatIsAsked() {
  const form = document.getElementById("log-form");
  const asked = new URLSearchParams(location.search);
  if (form.dataset.number) return { id: form.elements.find_id.value, isAmendment: true };
  if (asked.get("amend")) return { id: asked.get("amend"), isAmendment: true, isAskedFor: true };
  if (asked.get("draft")) return { id: asked.get("draft"), isAskedFor: true };
  return { id: newId(form), slip: slipOf(location.search) };
}

const newId = (form) => globalThis.crypto?.randomUUID?.() ?? form.elements.find_id.value;

/** A form in this page: a fresh one, or the find with that id. */
function restart(id = null) {
  draft?.leave();
  draft?.close();
  page.replaceChildren(...new DOMParser().parseFromString(pristine, "text/html").body.childNodes);
  const form = document.getElementById("log-form");
  forgetSlip(form);
  // Loaded again, or gone back to, the address opens the same form; where nothing answers it, it stays as it is.
  history.replaceState(history.state, "", location.pathname === FORM ? FORM : LOG);
  window.scrollTo(0, 0);
  start(id ? { id, isAskedFor: true } : { id: newId(form) });
  arrivals?.draw();
  document.getElementById("main").focus({ preventScroll: true });
}

function goOn() {
  const isAmendment = document.getElementById("log-form")?.dataset.number || draft?.isAmendment;
  if (isAmendment) location.assign(LOG);
  else restart();
}

function start(asked) {
  const form = document.getElementById("log-form");
  form.elements.find_id.value = asked.id;
  // What is typed up from a slip was found before: its day stands on the slip.
  if (!asked.isAmendment && !asked.slip && !form.elements.found_on.value) form.elements.found_on.value = localDay();
  const told = { onTrouble: (problem) => tellStored(problem), onLost: () => tellLost(form, mine) };
  const mine = (draft = new Draft(form, { ...asked, ...told }));
  /** The same find again, as it lies on this phone by now. */
  const again = () => (asked.isAmendment ? location.reload() : restart(mine.find.id));
  const check = startChecking(form);
  const photos = startPhotos(form, mine);
  startPhotoSays(form, check);
  startViewsLeft(form, mine);
  startPlace(form, check);
  startName(form, check);
  startHosts(form);
  startFresh(form);
  startBoxes(form);
  const { keepNow } = startKeeping(form, mine, { check, photos, goOn, again });
  form.addEventListener("input", () => showAddress(form, mine));
  form.addEventListener("photos", () => showAddress(form, mine));
  open(form, mine, asked, { check, photos, restart, goOn, keepNow }).catch((problem) => {
    mine.hasNoStore = problem instanceof NoStore;
    showNumberOfLedger();
    tellNotStored(problem);
  });
}

/** Another tab has taken the find over; it can be had back as it then is. */
function tellLost(form, mine) {
  if (!form.isConnected) return;
  const take = async () => {
    await mine.hold({ isTaking: true });
    mine.letGo();
    if (mine.isAmendment) location.reload();
    else restart(mine.find.id);
  };
  tellElsewhere(form, { isLost: true, take, goOn });
}

/** Said once when the phone has no room for what is typed, and taken back when it has again. */
function tellStored(problem) {
  if (problem && !isTold) tellNotStored(problem);
  if (!problem && isTold) clearAtKeep();
  isTold = Boolean(problem);
}

/** Loaded again, or gone back to, this page is then the same form with the same photos. */
function showAddress(form, mine) {
  if (!form.isConnected || mine.isAmendment || !mine.isTouched || mine.hasNoStore) return;
  const here = new URL(location.href);
  if (here.searchParams.get("draft") === mine.find.id) return;
  here.searchParams.set("draft", mine.find.id);
  history.replaceState(history.state, "", here);
}

/** Refused while it stands open in the form: told there, with its boxes marked. */
function tellHere(find) {
  const form = document.getElementById("log-form");
  if (find.state !== "refused" || draft?.find.id !== find.id || form.hidden) return false;
  tellRefused(form, find.trouble);
  return true;
}

document.documentElement.classList.add("with-script");
document.addEventListener("click", openLinked);
start(whatIsAsked());
arrivals = startArrivals({ tellHere });
// What waits from before is sent while this page is open.
keepSending();
