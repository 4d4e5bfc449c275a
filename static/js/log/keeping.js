// Keeping: what is typed is stored on this phone while it is typed, and sent when Keep is pressed. Where it cannot be
// sent, the page stays as it is and says so. Nothing is cleared before the ledger has confirmed it.
import { draftOf, fieldsOf, markSent, store, throwAway } from "./drafts.js";
import { element, isOtherThanUsual, trouble } from "./pieces.js";
import { resting } from "./send.js";

const REST_MS = 300;
const WAIT_MS = 120000;

// One form at a time is open; a form that came back from the ledger takes the place of the one that was sent.
let open = null;

/** `photos.settled()` waits for photos on their way; `restart(html)` puts the page the ledger answered into place. */
export function startKeeping(form, { check, photos, restart }) {
  open = { form, untouched: JSON.stringify(fieldsOf(form)), isTouched: false, isStored: true };
  const mine = open;
  const soon = resting(() => keepHere(mine), REST_MS);
  const touch = () => {
    mine.isTouched = true;
    soon();
  };
  for (const kind of ["input", "change", "placed", "photos"]) form.addEventListener(kind, touch);
  form.addEventListener("click", (event) => {
    if (event.target.closest("[data-fill], [data-use], [name=take_name]")) touch();
  });
  form.addEventListener("restored", () => {
    mine.isTouched = true;
  });
  form.addEventListener("thrown-away", (event) => {
    if (!event.detail || event.detail === form.elements.find_id.value) mine.isTouched = false;
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (event.submitter?.value !== "keep") return check();
    if (mine.isLeaving) return; // A second tap while the first is under way.
    await keep(mine, photos, restart);
  });
  // What the ledger sent back is not stored yet; nor is what a quick hand typed before this script ran.
  if ("answered" in form.dataset || [...form.elements].some(isOtherThanUsual)) {
    mine.untouched = "";
    touch();
  }
  const told = document.getElementById("trouble");
  told?.scrollIntoView({ block: "start" });
  told?.focus();
}

window.addEventListener("pagehide", () => keepHere(open));
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden") keepHere(open);
});
window.addEventListener("pageshow", (event) => {
  // The page as it was left, brought back by the browser: its button must work again.
  if (!open || !event.persisted) return;
  open.isSent = false;
  said(open, false);
});
window.addEventListener("beforeunload", (event) => {
  if (!open || open.isSent || !open.isTouched) return;
  if (!keepHere(open) || unsentPhotos(open.form)) event.preventDefault();
});

/** Store what is typed. A form that is as it was opened leaves nothing behind. */
function keepHere(mine) {
  if (!mine?.isTouched || mine.isSent) return true;
  const { form } = mine;
  const isWorthIt = JSON.stringify(fieldsOf(form)) !== mine.untouched || form.querySelector("[data-photo]");
  if (!isWorthIt && !draftOf(form)) return true;
  mine.isStored = store(form);
  if (mine.isStored && !form.dataset.number) {
    // Loaded again, or gone back to, this page is then the same form with the same photos.
    const here = new URL(location.href);
    here.searchParams.set("draft", form.elements.find_id.value);
    history.replaceState(history.state, "", here);
  }
  return mine.isStored;
}

const unsentPhotos = (form) => [...form.querySelectorAll(".shot__input")].reduce((sum, i) => sum + i.files.length, 0);

async function keep(mine, photos, restart) {
  const { form } = mine;
  mine.isTouched = true;
  keepHere(mine);
  said(mine, true);
  document.getElementById("trouble-here").replaceChildren();
  try {
    await photos.settled();
    let answer, fields;
    do {
      // What is typed while the signal is slow goes after what was sent, not under.
      fields = JSON.stringify(fieldsOf(form));
      answer = await sent(form);
    } while (answer.status === 201 && JSON.stringify(fieldsOf(form)) !== fields);
    if (answer.status === 201) {
      const { to } = await answer.json();
      mine.isSent = true;
      markSent(form);
      location.assign(to);
      return; // The button stays as it is until the find's page is there.
    }
    const page = answer.status === 200 || answer.status === 422 ? await answer.text() : "";
    if (page.includes('id="log-form"')) restart(page);
    else tellAnswer(mine, answer.status);
  } catch (problem) {
    if (problem instanceof NotLetIn) tellNotLetIn(mine, problem);
    else tellUnreachable(mine, problem);
  }
  said(mine, false);
}

class NotLetIn extends Error {}

/** Post the form. Where the session was renewed in another tab, the form's mark is renewed and it is sent once more. */
async function sent(form) {
  for (let again = false; ; again = true) {
    const data = new FormData(form);
    data.set("do", "keep");
    const answer = await ask(form.action, { method: "POST", body: data });
    if (!answer.redirected && answer.status !== 403) return answer;
    if (again) return answer;
    await renewMark(form);
  }
}

async function renewMark(form) {
  const answer = await ask(form.dataset.logUrl);
  if (answer.redirected) throw new NotLetIn("signed out");
  if (!answer.ok) throw new Error(`The ledger answered ${answer.status}.`);
  const page = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("log-form");
  if (page?.dataset.member !== form.dataset.member) throw new NotLetIn("somebody else");
  form.elements.csrfmiddlewaretoken.value = page.elements.csrfmiddlewaretoken.value;
}

const ask = (url, given = {}) =>
  fetch(url, {
    ...given,
    credentials: "same-origin",
    headers: { "X-Requested-With": "fetch" },
    signal: AbortSignal.timeout(WAIT_MS),
  });

function said(mine, isLeaving) {
  const button = mine.form.querySelector("#keep");
  mine.isLeaving = isLeaving;
  button.dataset.usual ??= button.textContent;
  button.textContent = isLeaving ? "Keeping …" : button.dataset.usual;
}

// --- what is said where it could not be kept ---

function tell(wrong, kept, todo) {
  const close = element("button", "Close", { type: "button", className: "button button--quiet" });
  const place = document.getElementById("trouble-here");
  close.addEventListener("click", () => place.replaceChildren());
  const box = trouble(wrong, kept, todo);
  place.replaceChildren(box, close);
  box.focus();
}

function keptHere(mine) {
  const typed = mine.isStored
    ? "Everything you typed is kept in this browser."
    : "Everything you typed is still on this page; this browser stores nothing, so leave the page open.";
  const photos = unsentPhotos(mine.form);
  const many = photos === 1 ? "1 photo is" : `${photos} photos are`;
  return photos ? `${typed} ${many} not sent yet and stay chosen: leave this page open.` : typed;
}

function tellUnreachable(mine, problem) {
  const wrong =
    problem.name === "TimeoutError" ? "The signal is too weak: no answer within two minutes." : "No signal.";
  tell(wrong, `Nothing is lost. ${keptHere(mine)}`, "Press Keep again where there is a signal.");
}

function tellAnswer(mine, status) {
  if (status === 403) {
    tell("The ledger does not let you change this find.", keptHere(mine), "Ask a curator; leave this page open.");
  } else if (status === 413) {
    tell("The photos are too big to be sent at once.", keptHere(mine), "Take one of them back, then press Keep again.");
  } else {
    tell(
      `The ledger stumbled (${status}). It may or may not have the find.`,
      keptHere(mine),
      "Press Keep again: the same find is never kept twice. If it fails again, write down the time and tell the keeper.",
    );
  }
}

function tellNotLetIn(mine, problem) {
  const link = element("a", "Sign in in a new tab", { href: mine.form.dataset.signInUrl, target: "_blank", rel: "noopener" });
  if (problem.message === "somebody else") {
    tell("Somebody else is signed in now in this browser.", keptHere(mine), [link, " as yourself, then press Keep again here."]);
  } else {
    tell("You are signed out.", `Nothing is lost. ${keptHere(mine)}`, [link, ", then come back here and press Keep again."]);
  }
}
