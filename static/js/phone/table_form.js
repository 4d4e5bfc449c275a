// The short entry of the foray's table as it stands on the screen: what is in its boxes, its heading, its troubles.
import { element, trouble } from "../log/pieces.js";
import { say, sayN, woven } from "../words.js";
import { valueIn } from "./message.js";
import { NoRoom } from "./store.js";
import { written } from "./table_names.js";

const place = (id) => document.getElementById(id);

/** What is typed: {name, substrates, host, count, serial, isKept}. */
export function typedIn(form) {
  const { name, host, count, serial } = form.elements;
  return {
    name: name.value,
    substrates: [...form.querySelectorAll("[name=substrate]:checked")].map((box) => box.value),
    host: host.value,
    count: count.value,
    serial: serial.value,
    isKept: form.querySelector("[name=kept]:checked")?.value === "kept",
  };
}

export function putInto(form, typed, { isNew, photos }) {
  for (const name of ["name", "host", "count", "serial"]) form.elements[name].value = typed[name];
  for (const box of form.querySelectorAll("[name=substrate]")) box.checked = typed.substrates.includes(box.value);
  for (const box of form.querySelectorAll("[name=kept]")) box.checked = (box.value === "kept") === typed.isKept;
  place("slip-more").open = Boolean(typed.serial);
  place("leave").hidden = isNew;
  place("next").textContent = isNew ? say("Next find") : say("Keep the correction");
  place("entry-photos").textContent = photos
    ? sayN("{n} photo in the whole form.", "{n} photos in the whole form.", photos)
    : "";
}

/** `coming`: the number it would have, {code, serial}, or null; `serial`: what stands on its slip. */
export function drawHeading({ find, isNew, finder, coming, code, serial }) {
  const onSlip = serial.trim() && !find.onLedger ? `${code} ${serial.trim()}` : null;
  const number = onSlip ?? find.number ?? (coming && `${coming.code} ${coming.serial}`);
  const word = element("b", number ?? "", { className: "number" });
  place("entry-head").textContent = isNew ? say("Next find") : say("Correct this find");
  place("entry-number").replaceChildren(...(number ? [word] : [finder ? say("number comes with the signal") : ""]));
  place("bar-line").replaceChildren(
    ...(number ? [word.cloneNode(true), " · "] : []),
    finder ? say("found by {name}", { name: finder.name }) : say("Who found it?"),
  );
}

export function sayKept(find, finder) {
  const number = element("b", find.number ?? say("It"), { className: find.number ? "number" : "" });
  const name = written(valueIn(find.fields, "name_typed")) || say("no name yet");
  const sentence = woven(say("{number} is kept: {name}, {finder}."), { number, name, finder: finder.name });
  place("entry-said").dataset.find = find.id;
  place("entry-said").replaceChildren(...sentence);
}

export function toTop() {
  place("entry-top").scrollIntoView({ block: "start" });
  place("entry-head").focus({ preventScroll: true });
}

export function tell(wrong, kept, todo, anchor) {
  place("entry-told").replaceChildren(trouble(wrong, kept, todo));
  place(anchor ?? "entry-told").scrollIntoView({ block: "center" });
}

export const clearTrouble = () => place("entry-told").replaceChildren();

/** It could not be stored: `problem`; null: it can again. */
export function tellStored(problem) {
  if (!problem) {
    clearTrouble();
    return;
  }
  const here = say("What you typed is still on this page: leave it open. Finds before it are kept.");
  if (problem instanceof NoRoom) {
    const todo = say("Make room: delete a video or an old download. Then press Next find again.");
    tell(say("There is no room left on this phone."), here, todo);
  } else {
    const todo = say("Open the ledger in an ordinary window.");
    tell(say("This browser stores nothing, as in a private window."), here, todo);
  }
}
