// What is said where a find could not be kept or sent: what was wrong, what was kept, what to do.
import { openAround } from "./boxes.js";
import { element, trouble } from "./pieces.js";
import { say, woven } from "../words.js";

/** In the bar at the foot, beside the button that was pressed. */
export function tellAtKeep(wrong, kept, todo) {
  const close = element("button", say("Close"), { type: "button", className: "button button--quiet" });
  const place = document.getElementById("trouble-here");
  close.addEventListener("click", () => place.replaceChildren());
  const box = trouble(wrong, kept, todo);
  place.replaceChildren(box, close);
  box.focus();
}

export const clearAtKeep = () => document.getElementById("trouble-here").replaceChildren();

/** Above the form, each sentence with a link to its field, and once more at the field. `wrong`: [{sentence, anchor}]. */
export function tellAbove(form, { wrong, kept, todo }) {
  clearAbove(form);
  const list = element("ul", "", { className: "log-troubles" });
  for (const { sentence, anchor } of wrong) {
    const line = element("li", `${sentence} `);
    if (anchor && document.getElementById(anchor)) {
      line.append(element("a", say("Go there"), { href: `#${anchor}`, className: "nowrap" }));
      tellAtField(document.getElementById(anchor), sentence);
    }
    list.append(line);
  }
  const box = trouble([list], kept, todo);
  box.id = "trouble";
  document.getElementById("log-told").replaceChildren(box);
  box.scrollIntoView({ block: "start" });
  box.focus({ preventScroll: true });
}

export function clearAbove(form) {
  document.getElementById("log-told").replaceChildren();
  document.getElementById("trouble")?.remove();
  for (const one of form.querySelectorAll("[data-told], [aria-invalid]")) clearField(one);
}

function tellAtField(place, sentence) {
  openAround(place);
  const id = `${place.id}_error`;
  document.getElementById(id)?.remove();
  const told = element("p", sentence, { className: "field__error", id });
  told.dataset.told = "";
  const isOneBox = !place.matches("fieldset, section, ul, div");
  const boxes = isOneBox ? [place] : [...place.querySelectorAll('[type="text"]')].filter((box) => box.value);
  for (const box of boxes) {
    box.setAttribute("aria-invalid", "true");
    box.setAttribute("aria-describedby", id);
  }
  if (isOneBox) (place.closest(".measure") ?? place).after(told);
  else place.append(told);
  // Once it is being mended, what was wrong with it is said no longer.
  place.addEventListener("input", () => [told, ...boxes].forEach(clearField), { once: true });
}

function clearField(one) {
  if ("told" in one.dataset) one.remove();
  for (const name of ["aria-invalid", "aria-describedby"]) one.removeAttribute(name);
}

/** "signed out", "ended" or "somebody else": [wrong, kept, do] with a link to sign in. */
export function notLetIn(why, signInUrl, { told } = {}) {
  const kept = say("Nothing is lost: everything stays on this phone.");
  const link = element("a", say("Sign in"), { href: signInUrl });
  if (why === "ended") {
    return [
      sentences(told?.wrong) || say("Your account is not active any more."),
      kept,
      sentences(told?.do) || say("Ask a keeper of your club to let you in again."),
    ];
  }
  if (why === "somebody else")
    return [
      say("Somebody else is signed in on this phone now."),
      kept,
      woven(say("{sign_in} as yourself. Then it is sent under your name."), { sign_in: link }),
    ];
  return [say("You are signed out."), kept, woven(say("{sign_in}. Then it is sent by itself."), { sign_in: link })];
}

const sentences = (told) => (Array.isArray(told) ? told.map((one) => one.sentence ?? one).join(" ") : told);
