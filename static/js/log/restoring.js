// An unfinished find: offered where a new form is opened, and put back by itself where the same page comes again.
import { draftOf, throwAway, unfinished, valueIn } from "./drafts.js";
import { openAround } from "./boxes.js";
import { element, isOtherThanUsual, twoTaps } from "./pieces.js";

/** Returns whether something was put back. */
export function startRestoring(form) {
  const place = document.getElementById("unfinished");
  // What the ledger sent back is newer than what lies here.
  if ("answered" in form.dataset) return false;

  const own = draftOf(form);
  if (own && !own.sent) {
    if (comesAgain(own)) {
      putBack(form, own);
      tell(place, form, `What you typed at ${timeOf(own)} is back.`);
      return true;
    }
    offer(place, form, own, "You have unfinished changes", () => {
      putBack(form, own);
      place.replaceChildren();
    });
    return false;
  }
  if (form.dataset.number) return false;
  for (const draft of unfinished(form)) {
    offer(place, form, draft, "You have an unfinished find", () => {
      location.assign(`${form.dataset.logUrl}?draft=${draft.id}`);
    });
  }
  return false;
}

/** The page was loaded again, gone back to, or opened for this very find. */
function comesAgain(draft) {
  const [visit] = performance.getEntriesByType("navigation");
  return (
    ["reload", "back_forward"].includes(visit?.type) ||
    new URLSearchParams(location.search).has("draft") ||
    // A new find whose answer was lost goes on as an amendment of itself.
    !valueIn(draft, "version")
  );
}

function putBack(form, draft) {
  const given = new Map();
  for (const [name, value] of draft.fields) given.set(name, [...(given.get(name) ?? []), value]);
  if (form.dataset.number && !given.get("version")?.[0]) given.set("version", ["1"]);
  makeBoxes(form, given);
  for (const field of [...form.elements]) {
    if (!field.name || field.matches("button, fieldset, [type=file], [name=csrfmiddlewaretoken]")) continue;
    const values = given.get(field.name);
    if (field.matches("[type=radio], [type=checkbox]")) field.checked = values?.includes(field.value) ?? false;
    else if (values?.length) field.value = values.shift();
    if (isOtherThanUsual(field)) openAround(field);
  }
  form.dispatchEvent(new CustomEvent("restored"));
}

/** As many boxes as there were values. */
function makeBoxes(form, given) {
  for (const boxes of form.querySelectorAll("[data-replicates]")) {
    const name = boxes.querySelector("input").name;
    const wanted = given.get(name)?.length ?? 0;
    for (let there = boxes.querySelectorAll("input").length; there < wanted; there += 1) {
      form.dispatchEvent(new CustomEvent("box-wanted", { detail: boxes }));
    }
  }
}

function offer(place, form, draft, start, goOn) {
  const about = valueIn(draft, "name_typed") || valueIn(draft, "locality");
  const line = element("p", `${start} from ${timeOf(draft)}${about ? ` (${about})` : ""}:`);
  const on = element("button", "Go on with it", { type: "button", className: "button" });
  on.addEventListener("click", goOn);
  const row = element("div", "", { className: "log-unfinished notice notice--doubt" });
  row.append(line, on, thrower(form, draft, () => row.remove()));
  place.append(row);
}

function tell(place, form, sentence) {
  const row = element("div", "", { className: "log-unfinished notice" });
  const gone = () => location.assign(form.dataset.number ? location.pathname : form.dataset.logUrl);
  row.append(element("p", sentence), thrower(form, {}, gone));
  place.replaceChildren(row);
}

function thrower(form, draft, after) {
  const button = element("button", "Throw it away", { type: "button", className: "button button--quiet" });
  twoTaps(button, button, "Tap again: it is gone then", () => {
    form.dispatchEvent(new CustomEvent("thrown-away", { detail: draft.id }));
    throwAway(form, draft.id);
    after();
  });
  return button;
}

function timeOf(draft) {
  const at = new Date(draft.at);
  const time = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const today = at.toDateString() === new Date().toDateString();
  return today ? time : `${time} on ${at.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}`;
}
