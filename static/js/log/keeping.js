// Keep: the find is handed to the outbox of this phone and said to be kept at once; then it is sent, if it can be.
import { askForBackground, send_all } from "../phone/outbox.js";
import { getKept, NoRoom, setKept } from "../phone/store.js";
import { fieldsOfLog } from "./filling.js";
import { showKept } from "./kept_panel.js";
import { clearAbove, clearAtKeep, notLetIn, tellAbove, tellAtKeep } from "./troubles.js";

/**
 * `photos.settled()` waits until chosen photos are stored; `check()` asks for the check; `goOn(given)` opens a fresh form
 * in this page.
 */
export function startKeeping(form, draft, { check, photos, goOn }) {
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
  form.addEventListener("submit", async (event) => {
    if (event.submitter?.value === "keep" && draft.hasNoStore) {
      draft.close(); // The form goes by itself, as where no script runs.
      return null;
    }
    event.preventDefault();
    if (event.submitter?.value !== "keep") return check();
    if (isUnderWay) return null; // A second tap while the first is under way.
    isUnderWay = true;
    said(form, true);
    await keep(form, draft, { photos, goOn });
    said(form, false);
    isUnderWay = false;
    return null;
  });

  const leave = () => form.isConnected && draft.leave();
  const hide = () => document.visibilityState === "hidden" && leave();
  window.addEventListener("pagehide", leave);
  document.addEventListener("visibilitychange", hide);
  const warn = (event) => {
    if (form.isConnected && draft.isTouched && !draft.isClosed && !draft.leave()) event.preventDefault();
  };
  window.addEventListener("beforeunload", warn);
}

async function keep(form, draft, { photos, goOn }) {
  clearAtKeep();
  clearAbove(form);
  await photos.settled();
  await draft.ready;
  if (!draft.isAmendment && !draft.isWorthKeeping) return tellNothing(form);
  let find;
  try {
    find = await draft.handOver();
  } catch (problem) {
    return tellNotStored(problem);
  }
  await setKept("last-log", { number: find.number, at: Date.now(), fields: fieldsOfLog(find.fields) });
  askForRoom();
  askForBackground();
  const panel = showKept(form, find, { goOn, goBack: () => goBack(form, draft) });
  const { why } = await panel.follow(send_all({ isPressing: find.id, onProgress: panel.progress }));
  if (why === "refused" && panel.isShown) {
    await goBack(form, draft);
    tellRefused(form, draft.find.trouble);
  } else if (["signed out", "ended", "somebody else"].includes(why)) {
    panel.tell(...notLetIn(why, form.dataset.signInUrl, { told: (await getKept("signed"))?.told }));
  }
  return null;
}

/** Back to the form, over the find that is in the outbox. It stays there until something is changed. */
async function goBack(form, draft) {
  await draft.reopen();
  form.hidden = false;
  const next = document.getElementById("log-next");
  if (next) next.hidden = draft.isAmendment;
  document.getElementById("log-kept").replaceChildren();
}

export function tellRefused(form, { wrong, kept, do: todo }) {
  tellAbove(form, {
    wrong,
    kept: kept || "Everything you typed and every photo, on this phone. The find is not in the ledger yet.",
    todo: todo || "Correct what is named, then keep the find again.",
  });
}

function tellNothing(form) {
  tellAbove(form, {
    wrong: [
      { sentence: "Nothing is entered yet: no photo, no reading, no place, no name, no words.", anchor: "part-photos" },
    ],
    kept: "Nothing, and no number was used.",
    todo: "Take a photo or enter what you see, then keep the find.",
  });
}

export function tellNotStored(problem) {
  const here = "What you typed is still on this page: leave it open.";
  if (problem instanceof NoRoom) {
    tellAtKeep(
      "There is no room left on this phone.",
      here,
      "Make room: delete a video or an old download. Then press Keep again.",
    );
  } else {
    tellAtKeep(
      "This browser keeps nothing here, as in a private window.",
      here,
      "Open the ledger in an ordinary window to log without a signal.",
    );
  }
}

function said(form, isUnderWay) {
  const button = form.querySelector("#keep");
  button.dataset.usual ??= button.textContent;
  button.textContent = isUnderWay ? "Keeping …" : button.dataset.usual;
}

/** Asked at the first Keep: may this browser clear away what lies here when the phone is short of room? */
async function askForRoom() {
  if (await getKept("room-asked")) return;
  const persistent = (await navigator.storage?.persist?.().catch(() => null)) ?? null;
  await setKept("room-asked", { at: Date.now(), persistent });
}
