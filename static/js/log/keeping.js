// Keep: the find is handed to the outbox of this phone and said to be kept at once; then it is sent, if it can be.
import { markTold } from "../phone/arrivals.js";
import { hello } from "../phone/hello.js";
import { askForBackground, sendAll } from "../phone/outbox.js";
import { NOT_SIGNED_IN } from "../phone/sending.js";
import { getFind, getKept, NoRoom, setKept } from "../phone/store.js";
import { bringBack } from "./aside.js";
import { doubtsIn, tellDoubts } from "./doubts.js";
import { showKept } from "./kept_panel.js";
import { rememberLog } from "./same_log.js";
import { isOfServerPhoto, pressServerPhoto } from "./server_photos.js";
import { clearAbove, clearAtKeep, notLetIn, tellAbove, tellAtKeep } from "./troubles.js";
import { say } from "../words.js";

const WAIT_FOR_WHO_MS = 3000;

/**
 * `photos.settled()` waits until chosen photos are stored; `check()` asks for the check; `goOn()` opens a fresh form in
 * this page, `again()` the same find as it lies on the phone by then. Returns {keepNow()}, which does as the button does.
 */
export function startKeeping(form, draft, { check, photos, goOn, again }) {
  const touch = () => draft.touch();
  for (const kind of ["input", "change", "placed"]) {
    form.addEventListener(kind, (event) => {
      if (!event.target.matches?.("[type=file], [name^=view-of-]")) touch();
    });
  }
  form.addEventListener("click", (event) => {
    if (event.target.closest("[data-fill], [data-use], [name=take_name]")) queueMicrotask(touch);
  });
  let isUnderWay = false;
  const keepNow = async () => {
    if (isUnderWay) return; // A second tap while the first is under way.
    isUnderWay = true;
    said(form, true);
    await keep(form, draft, { photos, goOn, again, keepNow });
    said(form, false);
    isUnderWay = false;
  };
  form.addEventListener("submit", (event) => {
    if (draft.hasNoStore && (event.submitter?.value === "keep" || isOfServerPhoto(event.submitter))) {
      draft.close(); // The form goes by itself, as where no script runs.
      return null;
    }
    event.preventDefault();
    if (isOfServerPhoto(event.submitter)) return pressServerPhoto(form, event.submitter, { touch }).then(check);
    return event.submitter?.value === "keep" ? keepNow() : check();
  });

  const leave = () => form.isConnected && draft.leave();
  const hide = () => document.visibilityState === "hidden" && leave();
  window.addEventListener("pagehide", leave);
  document.addEventListener("visibilitychange", hide);
  const warn = (event) => {
    if (form.isConnected && draft.isTouched && !draft.isClosed && !draft.leave()) event.preventDefault();
  };
  window.addEventListener("beforeunload", warn);
  return { keepNow };
}

async function keep(form, draft, { photos, goOn, again, keepNow }) {
  clearAtKeep();
  clearAbove(form);
  await photos.settled();
  await draft.ready;
  if (!draft.isAmendment && !draft.isWorthKeeping) return tellNothing(form);
  if (form.dataset.slipUnknown) return tellWhoseSlip(form);
  await belongToWhoeverIsHere(draft);
  const doubts = await doubtsIn(form);
  let find;
  try {
    find = await draft.handOver(doubts);
  } catch (problem) {
    return tellNotStored(problem);
  }
  await rememberLog(find);
  askForRoom();
  // Said once: who presses Keep again wants it as it is.
  const isNews = doubts.length > 0 && JSON.stringify(doubts) !== draft.doubtsTold;
  draft.doubtsTold = JSON.stringify(doubts);
  if (isNews) {
    await draft.reopen();
    return tellDoubts(form, find, doubts, { keepNow });
  }
  askForBackground();
  draft.letGo();
  const panel = showKept(form, find, { goOn, goBack: () => goBack(form, draft, { again }) });
  const { why } = await panel.follow(sendAll({ isPressing: find.id, onProgress: panel.progress }));
  if (why === "refused" && panel.isShown) {
    if (await goBack(form, draft, { again })) tellRefused(form, draft.find.trouble);
  } else if (NOT_SIGNED_IN.has(why)) {
    panel.tell(...notLetIn(why, form.dataset.signInUrl, { told: (await getKept("signed"))?.told }));
  }
  return null;
}

/**
 * The first find of a phone can be kept before the ledger has said who is signed in. It would belong to nobody, and wait in
 * the outbox until somebody said there whose it is; so that answer is waited for a little. What is typed is stored already.
 */
async function belongToWhoeverIsHere(draft) {
  if (draft.find.member !== null) return;
  const tooLong = new Promise((go) => {
    setTimeout(() => go(null), WAIT_FOR_WHO_MS);
  });
  const greeting = await Promise.race([hello().catch(() => null), tooLong]);
  if (greeting && !greeting.why) draft.setMember(greeting.hello);
}

/**
 * Back to the form, over the find that is in the outbox. It stays there until something is changed. Returns false where
 * another tab has it, or has changed it: then it is opened anew.
 */
async function goBack(form, draft, { again }) {
  const isHeld = await draft.hold();
  const now = await getFind(draft.find.id);
  if (!isHeld || now?.changedAt !== draft.find.changedAt) {
    draft.letGo();
    again();
    return false;
  }
  await draft.reopen();
  bringBack(form, draft);
  return true;
}

/** What the ledger will not take, [{sentence, anchor}], over the find that is open here. */
export function tellRefused(form, { wrong }) {
  markTold(form.elements.find_id.value);
  tellAbove(form, {
    wrong,
    kept: say("Everything you typed and every photo, on this phone. The find is not in the ledger yet."),
    todo: say("Correct what is named, then keep the find again."),
  });
}

/** Kept now, it would become a find of whoever types it up, under a number that is not on the packet. */
function tellWhoseSlip(form) {
  const sentence = say("Nobody this phone knows of has the code of slip {number}.", { number: form.dataset.slipUnknown });
  tellAbove(form, {
    wrong: [{ sentence, anchor: "part-photos" }],
    kept: say("Everything you typed, in this form; it is not in the outbox yet."),
    todo: say("Open the slip's number once more where there is a signal, and signed in; what you typed will be there."),
  });
  return null;
}

function tellNothing(form) {
  tellAbove(form, {
    wrong: [
      { sentence: say("Nothing is entered yet: no photo, no reading, no place, no name, no words."), anchor: "part-photos" },
    ],
    kept: say("Nothing, and no number was used."),
    todo: say("Take a photo or enter what you see, then keep the find."),
  });
}

export function tellNotStored(problem) {
  const here = say("What you typed is still on this page: leave it open.");
  if (problem instanceof NoRoom) {
    tellAtKeep(
      say("There is no room left on this phone."),
      here,
      say("Make room: delete a video or an old download. Then press Keep again."),
    );
  } else {
    tellAtKeep(
      say("This browser keeps nothing here, as in a private window."),
      here,
      say("Open the ledger in an ordinary window to log without a signal."),
    );
  }
}

function said(form, isUnderWay) {
  const button = form.querySelector("#keep");
  button.dataset.usual ??= button.textContent;
  button.textContent = isUnderWay ? say("Keeping …") : button.dataset.usual;
}

/** Asked at the first Keep: may this browser clear away what lies here when the phone is short of room? */
async function askForRoom() {
  if (await getKept("room-asked")) return;
  const persistent = (await navigator.storage?.persist?.().catch(() => null)) ?? null;
  await setKept("room-asked", { at: Date.now(), persistent });
}
