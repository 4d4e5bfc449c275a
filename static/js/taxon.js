/*
 * The form for a range of the club's own. It works without this file: all bounds and the states of all traits are then
 * there, in groups, and the ledger says what does not fit.
 *
 * The trait that is chosen shows its bounds, or its own states as boxes to tick; the sentence under them reads as the
 * range will stand on the page (ledger/taxa/range_words.py says it there).
 */

import { say } from "./words.js";

const form = document.querySelector("[data-range]");

function start() {
  const trait = form.elements.trait;
  const list = form.elements.states;
  const bounds = form.querySelector("[data-bounds]");
  const states = form.querySelector("[data-states]");
  const preview = form.querySelector("[data-preview]");
  const boxes = document.createElement("div");
  boxes.className = "range-states";
  boxes.setAttribute("role", "group");
  boxes.setAttribute("aria-label", say("States"));
  list.hidden = true; // its options stay what is sent; the boxes tick them
  list.after(boxes);

  function showTrait() {
    const isNumber = chosen().dataset.kind === "number";
    bounds.hidden = !isNumber;
    states.hidden = isNumber;
    if (!isNumber) for (const input of bounds.querySelectorAll("input")) input.value = "";
    for (const option of list.options) if (!isOfTrait(option)) option.selected = false;
    boxes.replaceChildren(...[...list.options].filter(isOfTrait).map(boxFor));
    tell();
  }

  function chosen() {
    return trait.selectedOptions[0];
  }

  function isOfTrait(option) {
    return option.value.startsWith(`${trait.value}:`);
  }

  function boxFor(option) {
    const label = document.createElement("label");
    const box = document.createElement("input");
    box.type = "checkbox";
    box.checked = option.selected;
    box.addEventListener("change", () => {
      option.selected = box.checked;
      tell();
    });
    label.append(box, ` ${option.text}`);
    return label;
  }

  function tell() {
    const { kind, name, unit } = chosen().dataset;
    const said = kind === "number" ? boundsWords(unit) : statesWords();
    preview.hidden = !said;
    preview.textContent = said && say("It will read: {name} {said}", { name, said });
  }

  function statesWords() {
    const small = (text) => (document.documentElement.lang.startsWith("en") ? text.toLowerCase() : text);
    const states = [...list.selectedOptions].map((option) => small(option.text));
    return states.length ? states.reduce((first, last) => say("{first} or {last}", { first, last })) : "";
  }

  function boundsWords(unit) {
    const [downTo, from, to, upTo] = ["low_extreme", "low", "high", "high_extreme"].map((name) =>
      figure(form.elements[name].value),
    );
    const usual =
      from && to
        ? from === to
          ? from
          : say("{low} to {high}", { low: from, high: to })
        : to
          ? say("up to {value}", { value: to })
          : from && say("from {value}", { value: from });
    const rare =
      downTo && upTo
        ? say("rarely down to {low} and up to {high}", { low: downTo, high: upTo })
        : downTo
          ? say("rarely down to {low}", { low: downTo })
          : upTo && say("rarely up to {high}", { high: upTo });
    const parts = [usual, rare].filter(Boolean);
    if (parts.length && unit) parts[0] += ` ${unit}`;
    return parts.join(", ");
  }

  trait.addEventListener("change", showTrait);
  bounds.addEventListener("input", tell);
  showTrait();
}

/** A number without superfluous digits; nothing where nothing, or no number, is typed. */
function figure(typed) {
  const value = Number.parseFloat(typed);
  return Number.isFinite(value) ? String(Number(value.toPrecision(4))) : "";
}

if (form) start();
