// Wires the log form. Everything here is a convenience: the form works without it, by its buttons.
import { startChecking } from "./check.js";
import { startPhotos } from "./photos.js";
import { startPlace } from "./place.js";
import { startName } from "./name.js";
import { startBoxes } from "./boxes.js";
import { startKeeping } from "./keeping.js";

const form = document.getElementById("log-form");

if (form) {
  document.documentElement.classList.add("with-script");
  const check = startChecking(form);
  startPhotos(form, check);
  startPlace(form, check);
  startName(form, check);
  startBoxes(form, check);
  startKeeping(form);
}
