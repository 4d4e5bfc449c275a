/*
 * Keys of the list of finds. The page works without this file: Tab reaches the box and every row.
 *
 *   /        to the box, with what is in it chosen
 *   ↓ ↑      from the box into the rows, and through them; ↑ on the first row goes back to the box
 *   Enter    in the box searches, on a row opens it, as everywhere
 *
 * The single key can be turned off by the switch under the list (WCAG 2.1.4) and is deaf while something is typed.
 */

import { isTyping, singleKeysSwitch } from "./single_keys.js";

const box = document.querySelector("#q");
const order = document.querySelector("#sort");
const toggle = singleKeysSwitch("list-keys");
const rows = [...document.querySelectorAll("[data-list-rows] .row__link")];

// Chosen is done. A keyboard walks through the choices by arrows, so there it waits for Enter or the button.
let byPointer = false;
order?.addEventListener("pointerdown", () => (byPointer = true));
order?.addEventListener("keydown", () => (byPointer = false));
order?.addEventListener("change", () => {
  if (byPointer) order.form.requestSubmit();
});

function step(by) {
  const at = rows.indexOf(document.activeElement);
  if (at < 0 && document.activeElement !== box) return false;
  if (at + by < 0) return toBox();
  const next = rows[at + by];
  next?.focus();
  return Boolean(next);
}

function toBox() {
  box.focus();
  box.select();
  return true;
}

function pressed(event) {
  if (event.key === "ArrowDown") return step(1);
  if (event.key === "ArrowUp") return document.activeElement !== box && step(-1);
  if (event.key !== "/" || isTyping(event.target) || (toggle && !toggle.checked)) return false;
  return toBox();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  if (box && pressed(event)) event.preventDefault();
});
