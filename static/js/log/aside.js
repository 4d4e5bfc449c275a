// The form steps aside: for a find that is open in another tab, and for one that is somebody else's.
import { element, trouble } from "./pieces.js";
import { notYours } from "./whose.js";
import { say } from "../words.js";

/** Opened in another tab: nothing is written from here. `take()` takes it over, `goOn()` begins another find. */
export function tellElsewhere(form, { isLost = false, take, goOn }) {
  const take_ = element("button", say("Go on with it here"), { type: "button", className: "button button--primary" });
  take_.addEventListener("click", () => {
    take_.disabled = true;
    take();
  });
  setAside(form, {
    head: isLost ? say("Taken over by another tab") : say("Open in another tab"),
    said: [
      element(
        "p",
        isLost
          ? say("Everything you typed here is kept, and goes on there. From here nothing more is written.")
          : say("This find is being typed in another tab of this phone. From here nothing is written, so that the two do not overwrite one another."),
      ),
    ],
    acts: [take_, nextButton(goOn)],
  });
}

/** A find of somebody else's. `goOn()` begins one of one's own. */
export function tellNotYours(form, find, { goOn }) {
  const { wrong, kept, do: todo } = notYours(find);
  setAside(form, { head: say("Not your find"), said: [trouble(wrong, kept, todo)], acts: [nextButton(goOn)] });
}

/** The form is back in its place. */
export function bringBack(form, { isAmendment }) {
  form.hidden = false;
  document.getElementById("log-kept").replaceChildren();
  const next = document.getElementById("log-next");
  if (next) next.hidden = isAmendment;
}

function setAside(form, { head, said, acts }) {
  const box = element("section", "", { className: "plate kept" });
  const title = element("h2", head, { tabIndex: -1 });
  const row = element("p", "", { className: "actions" });
  row.append(...acts);
  box.append(title, ...said, row);
  form.hidden = true;
  for (const id of ["log-told", "unfinished"]) document.getElementById(id).replaceChildren();
  const next = document.getElementById("log-next");
  if (next) next.hidden = true;
  document.getElementById("log-kept").replaceChildren(box);
  window.scrollTo(0, 0);
  title.focus({ preventScroll: true });
}

function nextButton(goOn) {
  const next = element("button", say("New find"), { type: "button", className: "button" });
  next.addEventListener("click", goOn);
  return next;
}
