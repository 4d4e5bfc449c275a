// What was just kept, said beside the button that kept it, with the next step; and the ledger's own lists brought up to date
// without leaving the place.

import { say } from "../words.js";

const paragraph = (text, kind = "") => {
  const line = document.createElement("p");
  line.className = kind;
  line.textContent = text;
  return line;
};

/** Say in `box` why nothing was kept. */
export function sayRefused(box, sentence) {
  box.classList.add("onphoto__kept--refused");
  box.replaceChildren(paragraph(sentence));
}

/** Say in `box` what was kept, and offer what makes it the reading. Gives what the fresh page draws over the photo, or null. */
export async function sayKept(box, { kept, trait, page }) {
  box.classList.remove("onphoto__kept--refused");
  box.replaceChildren(paragraph(say("Kept: {value}.", { value: kept }), "onphoto__value"));
  const scene = await renewLists(page);
  if (!scene) box.append(paragraph(say("The list below shows it when the page is loaded again.")));
  const step = trait && document.querySelector(`[data-fresh] [data-reads="${CSS.escape(trait)}"]`);
  if (step) box.append(step.cloneNode(true));
  return scene;
}

async function renewLists(address) {
  try {
    const answer = await fetch(address, { credentials: "same-origin" });
    if (!answer.ok) return null;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const old of document.querySelectorAll("[data-fresh]")) {
      old.replaceWith(document.importNode(fresh.querySelector(`[data-fresh="${old.dataset.fresh}"]`), true));
    }
    return JSON.parse(fresh.getElementById("measure-scene").textContent);
  } catch {
    return null;
  }
}
