/*
 * The form for a range of the club's own. It works without this file: all bounds and the states of all traits are then
 * there, in groups, and the ledger says what does not fit.
 *
 * The trait that is chosen shows its bounds, or its own states as boxes to tick; the sentence under them reads as the
 * range will stand on the page (ledger/taxa/range_words.py says it there).
 */

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
  boxes.setAttribute("aria-label", "States");
  list.hidden = true; // its options stay what is sent; the boxes tick them
  list.after(boxes);

  function showTrait() {
    const isNumber = chosen().dataset.kind === "number";
    bounds.hidden = !isNumber;
    states.hidden = isNumber;
    if (!isNumber) for (const input of bounds.querySelectorAll("input")) input.value = "";
    for (const option of list.options) if (!isOfTrait(option)) option.selected = false;
    boxes.replaceChildren(...[...list.options].filter(isOfTrait).map(boxFor));
    say();
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
      say();
    });
    label.append(box, ` ${option.text}`);
    return label;
  }

  function say() {
    const { kind, name, unit } = chosen().dataset;
    const said = kind === "number" ? boundsWords(unit) : statesWords();
    preview.hidden = !said;
    preview.textContent = said && `It will read: ${name} ${said}`;
  }

  function statesWords() {
    return [...list.selectedOptions].map((option) => option.text.toLowerCase()).join(" or ");
  }

  function boundsWords(unit) {
    const [downTo, from, to, upTo] = ["low_extreme", "low", "high", "high_extreme"].map((name) =>
      figure(form.elements[name].value),
    );
    const usual =
      from && to ? (from === to ? from : `${from} to ${to}`) : to ? `up to ${to}` : from ? `from ${from}` : "";
    const rare = [downTo && `down to ${downTo}`, upTo && `up to ${upTo}`].filter(Boolean).join(" and ");
    const parts = [usual, rare && `rarely ${rare}`].filter(Boolean);
    if (parts.length && unit) parts[0] += ` ${unit}`;
    return parts.join(", ");
  }

  trait.addEventListener("change", showTrait);
  bounds.addEventListener("input", say);
  showTrait();
}

/** A number without superfluous digits; nothing where nothing, or no number, is typed. */
function figure(typed) {
  const value = Number.parseFloat(typed);
  return Number.isFinite(value) ? String(Number(value.toPrecision(4))) : "";
}

if (form) start();
