/*
 * Keys of the bench. The page works without this file: every key is a link or a <summary> that Tab reaches.
 *
 *   j k   next and previous held find (on the list: the row below and above)
 *   s b r open settle, send back, redetermine
 *   /     to the list; there the arrow keys go up and down and Enter opens
 *   Esc   closes what is open
 *
 * Single keys can be turned off by the switch under the record (WCAG 2.1.4) and are deaf while something is typed.
 */

import { isTyping, singleKeysSwitch } from "./single_keys.js";
import { say } from "./words.js";

const ACTS = { s: "settle", b: "send-back", r: "redetermine" };

const toggle = singleKeysSwitch("bench-keys");
const acts = [...document.querySelectorAll("[data-act]")];
const rows = [...document.querySelectorAll("[data-list] a")];

/* --- the acts --- */

for (const act of acts) {
  act.addEventListener("toggle", () => {
    if (!act.open) return;
    for (const other of acts) if (other !== act) other.open = false;
    focusFirstField(act);
  });
  if (act.open) focusFirstField(act); // it came back refused
}

function focusFirstField(act) {
  const wrong = act.querySelector("[aria-invalid='true']");
  const field = wrong ?? act.querySelector("textarea, input:not([type='hidden'])");
  if (!field) return;
  // The sheet is in sight already: only what is inside it moves, not the page with the flags.
  field.focus({ preventScroll: true });
  if (wrong) act.querySelector(".decide__sheet").scrollTop = Math.max(0, wrong.offsetTop - 80);
}

function closeOpen() {
  const open = acts.find((act) => act.open);
  if (!open) return false;
  open.open = false;
  open.querySelector("summary").focus();
  return true;
}

/* --- how many flags are ticked --- */

const ticks = [...document.querySelectorAll("[data-flag]")];
const ticked = document.querySelector("[data-ticked]");

/* Says what will be settled, and shows the names of those flags only; without this file all names stand there. */
function countTicks() {
  const on = ticks.filter((tick) => tick.checked).length;
  const all = ticks.length;
  for (const tick of ticks) {
    document.querySelector(`[data-named="${tick.value}"]`).hidden = !tick.checked;
  }
  ticked.textContent =
    on === 0
      ? say("No flag is ticked.")
      : on === all
        ? all === 1
          ? say("Settles the flag:")
          : say("Settles all {n} flags:", { n: all })
        : say("Settles {on} of {n} flags; the others stay open:", { on, n: all });
}

if (ticked) {
  for (const tick of ticks) tick.addEventListener("change", countTicks);
  countTicks();
}

/* --- the list --- */

function toList() {
  const current = rows.find((row) => row.hasAttribute("aria-current")) ?? rows[0];
  current?.focus();
  return Boolean(current);
}

function step(by) {
  const here = rows.indexOf(document.activeElement);
  const next = rows[here < 0 ? (by > 0 ? 0 : rows.length - 1) : here + by];
  next?.focus();
  return Boolean(next);
}

function go(direction) {
  const link = document.querySelector(`[data-step="${direction}"]`);
  if (link) link.click();
  return Boolean(link);
}

const onFind = acts.length > 0;

// The open row comes into sight inside the list only; scrollIntoView would move the page as well.
const list = document.querySelector("[data-list]");
const open = list?.querySelector("[aria-current]");
if (open && list.scrollHeight > list.clientHeight) {
  list.scrollTop = open.offsetTop - list.offsetTop - list.clientHeight / 3;
}

function pressed(event) {
  if (event.key === "Escape") return closeOpen();
  if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    return rows.includes(document.activeElement) && step(event.key === "ArrowDown" ? 1 : -1);
  }
  if (!toggle?.checked || isTyping(event.target)) return false;
  const key = event.key.toLowerCase();
  if (key === "j") return onFind ? go("next") : step(1);
  if (key === "k") return onFind ? go("previous") : step(-1);
  if (key === "/") return toList();
  const act = acts.find((one) => one.dataset.act === ACTS[key]);
  if (!act) return false;
  act.open = true;
  focusFirstField(act); // at once: "toggle" comes later, and the next letter belongs in the field
  return true;
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  if (pressed(event)) event.preventDefault();
});
