// Wires the log form. Everything here is a convenience: the form works without it, by its buttons.
import { startChecking } from "./check.js";
import { startPhotos } from "./photos.js";
import { startPlace } from "./place.js";
import { startName } from "./name.js";
import { openLinked, startBoxes } from "./boxes.js";
import { startKeeping } from "./keeping.js";
import { startRestoring } from "./restoring.js";

function start() {
  const form = document.getElementById("log-form");
  if (!form) return;
  document.documentElement.classList.add("with-script");
  const check = startChecking(form);
  const photos = startPhotos(form, check);
  startPlace(form, check);
  startName(form, check);
  startBoxes(form);
  startKeeping(form, { check, photos, restart });
  if (startRestoring(form)) check();
}

/** The form as the ledger sent it back, with what is to be put right. */
function restart(html) {
  const parsed = new DOMParser().parseFromString(html, "text/html");
  document.getElementById("main").replaceChildren(...parsed.getElementById("main").childNodes);
  start();
}

document.addEventListener("click", openLinked);
start();
