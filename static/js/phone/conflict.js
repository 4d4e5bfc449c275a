// A find that was changed here and, meanwhile, on the ledger: both are shown, field by field, and the person chooses.
// Nothing is chosen for them where both changed it.
import { element } from "../log/pieces.js";
import { say, woven } from "../words.js";
import { withValues } from "./message.js";

// Boxes whose values belong to another box: they are taken together, or not at all.
const TOGETHER = { position_typed: ["position_source"] };

/**
 * What is to be asked, one for each box of the form: [{box, label, by, was, yours, now, choice}]. `choice` is "now" where
 * only the ledger's changed, null where it must be chosen. Where both say the same there is nothing to ask.
 * `theirs`: the ledger's answer {changed: [{field, label, by, box, was, now, yours}], fields, version, opened_at}.
 */
export function questionsOf(theirs) {
  const byBox = new Map();
  for (const one of theirs.changed) {
    const box = one.box || one.field;
    const before = byBox.get(box);
    byBox.set(box, before ? joined(before, one) : { ...one, box, yours: one.yours ?? "" });
  }
  return [...byBox.values()]
    .filter((one) => one.yours !== one.now)
    .map((one) => ({ ...one, choice: one.yours === (one.was ?? "") ? "now" : null }));
}

const joined = (one, other) => ({
  ...one,
  label: one.label === other.label ? one.label : `${one.label}, ${other.label}`,
  was: pair(one.was, other.was),
  now: pair(one.now, other.now),
  yours: pair(one.yours, other.yours ?? ""),
});

const pair = (one, other) => [one, other].filter(Boolean).join(", ");

/**
 * The fields to send: yours, with the ledger's in every box where "now" was chosen or where only the ledger changed it.
 * `choices`: {box: "yours" | "now"}.
 */
export function merged(fields, theirs, choices) {
  let out = fields;
  for (const one of theirs.changed) {
    const box = one.box || one.field;
    const isSame = (one.yours ?? "") === one.now;
    if (choices[box] !== "now" && !(isSame && !(box in choices))) continue;
    const names = [box, ...(TOGETHER[box] ?? [])];
    out = replaced(out, theirs.fields, (name) => names.some((of) => isOf(of, name)));
  }
  return withValues(out, { version: String(theirs.version), opened_at: theirs.opened_at ?? "" });
}

/** A box is one field, or all fields of a trait where it ends in a hyphen. */
const isOf = (box, name) => name === box || (box.endsWith("-") && name.startsWith(box));

function replaced(mine, theirs, isMeant) {
  const at = mine.findIndex(([name]) => isMeant(name));
  const rest = mine.filter(([name]) => !isMeant(name));
  const place = at < 0 ? rest.length : mine.slice(0, at).filter(([name]) => !isMeant(name)).length;
  return [...rest.slice(0, place), ...theirs.filter(([name]) => isMeant(name)), ...rest.slice(place)];
}

/** Draw the choice into `place`. `send(choices)` is called when everything is chosen. */
export function drawConflict(place, find, send) {
  const questions = questionsOf(find.theirs);
  const head = element("h2", "", { tabIndex: -1 });
  const sentence = find.theirs.by_you
    ? say("{find} was changed by you meanwhile, on another phone or page")
    : say("{find} was changed by somebody else meanwhile");
  const number = element("span", find.number ?? say("This find"), { className: "number" });
  head.append(...woven(sentence, { find: number }));
  const form = element("form", "", { className: "plate conflict", noValidate: true });
  const also = find.theirs.also ?? [];
  form.append(head, element("p", introOf(questions, also)), ...also.map((said) => element("p", said)));
  for (const [index, question] of questions.entries()) form.append(fieldOf(question, index));
  const missing = element("p", "", { className: "field__error", hidden: true });
  missing.setAttribute("role", "alert");
  const row = element("p", "", { className: "actions" });
  row.append(element("button", say("Send it again"), { type: "submit", className: "button button--primary" }));
  form.append(missing, row);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const data = new FormData(form);
    const open = questions.filter((question, index) => !data.get(`side-${index}`));
    for (const [index, question] of questions.entries()) {
      form.querySelector(`[data-question="${index}"]`).classList.toggle("is-open", open.includes(question));
    }
    missing.hidden = open.length === 0;
    if (open.length) {
      const fields = open.map((one) => one.label).join(", ");
      missing.textContent = say(
        "Not chosen yet: {fields}. Nothing was sent; both versions are kept. Tap one of the two.",
        { fields },
      );
      form.querySelector(".is-open input").focus();
      return;
    }
    send(Object.fromEntries(questions.map((question, index) => [question.box, data.get(`side-${index}`)])));
  });
  place.replaceChildren(form);
  head.focus();
}

function introOf(questions, also) {
  if (!questions.length && also.length)
    return say("Nothing was overwritten, and no field has two values. Read what happened to it, then send your changes again.");
  if (!questions.length) return say("Both versions say the same. Send it again, and the rest of your changes goes with it.");
  return say(
    "Nothing was overwritten. Choose for each which one stays; what is not listed stays as you have it here. Both are in the history afterwards.",
  );
}

function fieldOf(question, index) {
  const set = element("fieldset", "", { className: "conflict__field" });
  set.dataset.question = index;
  set.append(element("legend", capital(question.label), { className: "field__label" }));
  const was = say("Was: {value}", { value: question.was || say("nothing") });
  set.append(element("p", was, { className: "conflict__was" }));
  const sides = element("div", "", { className: "conflict__sides" });
  sides.append(
    sideOf(index, "yours", question.choice === "now" ? say("Yours, not touched") : say("Yours"), question.yours, false),
    sideOf(index, "now", say("Ledger now, by {name}", { name: question.by }), question.now, question.choice === "now"),
  );
  set.append(sides);
  return set;
}

function sideOf(index, value, whose, text, isChosen) {
  const label = element("label", "", { className: "chip" });
  const face = element("span", "", { className: "chip__face" });
  const words = element("span", "", { className: "chip__word" });
  words.append(
    element("span", whose, { className: "conflict__whose" }),
    element("b", text || say("nothing"), { className: "conflict__value" }),
  );
  face.append(words);
  label.append(
    element("input", "", { type: "radio", className: "chip__input", name: `side-${index}`, value, checked: isChosen }),
    face,
  );
  return label;
}

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
