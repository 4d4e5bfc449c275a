// Boxes and chips: one more box, units in the boxes, and choices that exclude one another.
import { keepInSight } from "./sight.js";

export function startBoxes(form) {
  form.addEventListener("click", (event) => {
    const add = event.target.closest("[data-add]");
    if (add) addBox(add.closest("[data-replicates]")).focus();
    const quick = event.target.closest("[data-fill]");
    if (quick) {
      const box = document.getElementById(quick.dataset.fills);
      box.value = quick.dataset.fill;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    }
  });
  form.addEventListener("box-wanted", (event) => addBox(event.detail));
  form.addEventListener("restored", () => {
    for (const select of form.querySelectorAll("[data-unit]")) showUnit(select.closest("[data-trait]"), select);
  });
  // The answer to what is being typed has its room below the box: both stand clear of the bar at the foot.
  form.addEventListener("focusin", () => requestAnimationFrame(keepInSight));

  form.addEventListener("change", (event) => {
    const box = event.target;
    const row = box.closest("[data-trait]");
    if (!row) return;
    if (box.matches("[data-unit]")) showUnit(row, box);
    if (box.matches(".chip__input") && box.checked) exclude(row, box);
  });

  // A radio that is chosen can be taken back by a second touch.
  form.addEventListener("pointerdown", (event) => {
    const chosen = event.target.closest(".chip__input[type=radio]:checked");
    if (chosen && chosen.value) chosen.dataset.wasChosen = "";
  });
  form.addEventListener("click", (event) => {
    const radio = event.target.closest(".chip__input[type=radio]");
    if (radio && "wasChosen" in radio.dataset) {
      delete radio.dataset.wasChosen;
      radio.checked = false;
      radio.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });
}

function addBox(boxes) {
  const all = boxes.querySelectorAll(".measure");
  const last = all[all.length - 1];
  const made = last.cloneNode(true);
  const input = made.querySelector("input");
  input.value = "";
  input.setAttribute("aria-label", input.getAttribute("aria-label").replace(/\d+$/, String(all.length + 1)));
  last.after(made);
  return input;
}

/** Whatever is folded around the place a link leads to is opened. */
export function openLinked(event) {
  const link = event.target.closest('a[href^="#"]');
  if (link) openAround(document.getElementById(link.hash.slice(1)));
}

function showUnit(row, select) {
  const word = select.selectedOptions[0].textContent;
  row.querySelector("[data-unit-word]").textContent = word;
  for (const box of row.querySelectorAll(".measure__input")) box.placeholder = select.value.startsWith("1/") ? select.value.slice(1) : word;
}

/** What was seen and "cannot say" cannot both stand; the one touched last does. */
function exclude(row, box) {
  const isLooked = box.name.endsWith("-looked");
  for (const other of row.querySelectorAll(".chip__input:checked")) {
    if (other === box) continue;
    if (isLooked || other.name.endsWith("-looked")) other.checked = false;
  }
}

export function openAround(element) {
  for (let around = element?.parentElement; around; around = around.parentElement) {
    if (around.matches("details")) around.open = true;
  }
}
