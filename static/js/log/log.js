// Wires the log form: on the ledger's own page and on the page this phone keeps, which says nothing personal.
import { FORM, LOG } from "../phone/addresses.js";
import { freshen, hello as greet } from "../phone/hello.js";
import { valueIn } from "../phone/message.js";
import { peek } from "../phone/number_blocks.js";
import { keepSending } from "../phone/outbox.js";
import { getFind, getOwn, NoStore } from "../phone/store.js";
import { openLinked, startBoxes } from "./boxes.js";
import { startChecking } from "./check.js";
import { Draft, fieldsOf, ownerOf, takeOver, whoIsHere } from "./drafts.js";
import { fillForays, localDay, putBack } from "./filling.js";
import { startKeeping, tellNotStored, tellRefused } from "./keeping.js";
import { startName } from "./name.js";
import { startPhotos } from "./photos.js";
import { startPhotoSays } from "./photo_says.js";
import { isOtherThanUsual } from "./pieces.js";
import { startPlace } from "./place.js";
import { offerSameLog, offerUnfinished, tellBack, tellState } from "./restoring.js";
import { forgetSlip, slipOf, takeSlip, tellFinder } from "./slip.js";
import { clearAtKeep } from "./troubles.js";

const page = document.getElementById("log-page");
// The page as it came, without what is typed: a fresh form is made of it without asking the ledger. Text is made four
// times as fast as a copy of every field.
const pristine = page.innerHTML;
let freshened = null;
let draft = null;
let isTold = false;

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
  document.getElementById("main").focus({ preventScroll: true });
}

function goOn() {
  if (document.getElementById("log-form")?.dataset.number) location.assign(LOG);
  else restart();
}

function start(asked) {
  const form = document.getElementById("log-form");
  form.elements.find_id.value = asked.id;
  // What is typed up from a slip was found before: its day stands on the slip.
  if (!asked.isAmendment && !asked.slip && !form.elements.found_on.value) form.elements.found_on.value = localDay();
  const mine = (draft = new Draft(form, { ...asked, onTrouble: (problem) => tellStored(problem) }));
  const check = startChecking(form);
  const photos = startPhotos(form, mine);
  startPhotoSays(form, check);
  startPlace(form, check);
  startName(form, check);
  startBoxes(form);
  startKeeping(form, mine, { check, photos, goOn });
  form.addEventListener("input", () => showAddress(form, mine));
  form.addEventListener("photos", () => showAddress(form, mine));
  open(form, mine, asked, { check, photos }).catch((problem) => {
    mine.hasNoStore = problem instanceof NoStore;
    // The form then goes by itself, and the ledger gives the number.
    const place = document.getElementById("log-next");
    if (place?.dataset.next) place.textContent = `will be ${place.dataset.next}`;
    tellNotStored(problem);
  });
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

/** Put what lies on this phone into the form: who is here, the forays, the find itself. */
async function open(form, mine, asked, { check, photos }) {
  const touched = new Set();
  const note = (event) => touched.add(event.target.name);
  for (const kind of ["input", "change"]) form.addEventListener(kind, note, { capture: true });
  const wasTyped = [...form.elements].filter(isOtherThanUsual);
  for (const field of wasTyped) if (field.name !== "found_on" || asked.isAmendment) touched.add(field.name);

  await takeOver();
  const who = await whoWorks(form);
  if (who) mine.setMember(who);
  fillForays(form, who?.forays ?? [], { today: localDay(), choose: !asked.isAmendment && !asked.slip && !touched.has("foray") });

  const found = await getFind(asked.id);
  const begun = asked.isAmendment ? await beginAmending(form, mine, found) : beginNew(form, found);
  const shown = begun.putBack ?? null;
  if (shown) putBack(form, shown, { except: touched });
  for (const kind of ["input", "change"]) form.removeEventListener(kind, note, { capture: true });
  const isStored = Boolean(found) && found.state !== "confirmed";
  const isBlank = !touched.size && !(shown && isStored);
  mine.takeUp(begun.find, { untouched: isBlank ? JSON.stringify(fieldsOf(form)) : "", isStored });
  if (touched.size) mine.touch();
  await photos.show();
  if (shown || mine.find.photos.length) check();
  tellWhatLies(form, mine, found, { asked, begun });
  if (!asked.slip || (await takeSlip(form, mine, asked.slip, who))) await tellFinder(mine.find);
  await showNumber(mine);
  form.dispatchEvent(new CustomEvent("ready", { detail: { draft: mine } }));
  form.dataset.ready = "";
  await keepFresh(form, mine);
}

/** The ledger's own page knows who it was made for; the kept page asks this phone. */
async function whoWorks(form) {
  const kept = await whoIsHere();
  const member = Number(form.dataset.member) || null;
  if (!member || kept?.member === member) return kept;
  // Only who it is: the reference may be long on its way, and the form waits for nobody.
  const { hello } = await greet().catch(() => ({ hello: null }));
  return hello?.member === member ? hello : { member, name: "", code: "", forays: [] };
}

/** A new find; where its photos were confirmed and it was opened again, it goes on as it lies here. */
function beginNew(form, found) {
  return found ? { find: found, putBack: found.fields } : { find: null };
}

/** A find the ledger has: as its page brought it, or as this phone knows it. Unsent changes come before both. */
async function beginAmending(form, mine, found) {
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

function nameAmendment(form, number) {
  const heading = document.querySelector("#main h1");
  const word = Object.assign(document.createElement("span"), {
    className: "number",
    textContent: number ?? "this find",
  });
  heading.replaceChildren("Amend ", word);
  document.title = `Amend ${number ?? "a find"} · Bracket Ledger`;
  form.querySelector("#keep").textContent = "Keep the changes";
}

function tellWhatLies(form, mine, found, { asked, begun }) {
  if (begun.isMissing) {
    tellRefused(form, {
      wrong: [{ sentence: "This phone does not hold this find as it is now, so it cannot be amended here." }],
      kept: "The find, in the ledger.",
      do: "Open it where there is a signal.",
    });
  } else if (found?.state === "refused") {
    tellRefused(form, found.trouble);
  } else if (found && found.state !== "typing") {
    tellState(found);
  } else if (begun.putBack && found) {
    tellBack(mine, asked.isAmendment ? () => location.reload() : goOn);
  } else if (!asked.isAmendment) {
    offerUnfinished(mine.find.member, restart);
    offerSameLog(form);
  }
}

/** What the find will be called, beside the heading. */
async function showNumber(mine) {
  const place = document.getElementById("log-next");
  if (!place) return;
  const { find } = mine;
  place.hidden = mine.isAmendment;
  const next = find.number ? null : find.member === null ? null : await peek(ownerOf(find));
  const number = find.number ?? (next && `${next.code} ${next.serial}`);
  const word = Object.assign(document.createElement("b"), { className: "number", textContent: number ?? "" });
  const isNobodys = !number && find.member === null;
  place.replaceChildren(...(number ? ["will be ", word] : isNobodys ? signInFirst() : ["its number comes with the signal"]));
}

/** Where nobody has signed in on this phone yet, in the one line beside the heading: nothing below it moves. */
function signInFirst() {
  const { signInUrl } = document.getElementById("log-form").dataset;
  return ["Kept here. ", Object.assign(document.createElement("a"), { href: signInUrl, textContent: "Sign in" }), " to send it."];
}

/** Where there is a signal: who is signed in by now, numbers, forays. */
async function keepFresh(form, mine) {
  freshened ??= freshen();
  const { hello, why } = await freshened;
  freshened = null;
  if (why || !form.isConnected) return;
  // A find begun in this page belongs to whoever is signed in; one from before to whom it was begun by.
  if (!valueIn(mine.find.fields, "find_id") || mine.find.member === null) mine.setMember(hello);
  fillForays(form, hello.forays ?? [], { today: localDay(), choose: false });
  await mine.number();
  await showNumber(mine);
}

document.documentElement.classList.add("with-script");
document.addEventListener("click", openLinked);
start(whatIsAsked());
// What waits from before is sent while this page is open.
keepSending();
