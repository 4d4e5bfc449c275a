// The place: taken from the phone with its error, or typed and read back. What a hand has typed is never overwritten.
import { readCompass } from "../phone/compass.js";
import { watchPlace } from "../phone/place_watch.js";
import { localDay } from "./filling.js";
import { element } from "./pieces.js";
import { fill, resting, send } from "./send.js";
import { slipOf } from "./slip.js";
import { placeTyped } from "./typed_place.js";
import { say } from "../words.js";

const TOUCHES = ["input", "change"];
const SOON_MS = 600;
const PATIENCE_MS = 15_000;
// From where a place was taken; the form itself says the same words (templates/finds/log.html).
const SOURCES = { phone: say("phone"), photo: say("photo"), typed: say("typed"), table: say("the foray table’s") };

export function startPlace(form, check) {
  const button = document.getElementById("locate");
  const note = document.getElementById("locate-note");
  const typed = form.elements.position_typed;
  const source = form.elements.position_source;
  const shown = document.getElementById("place-note");
  const sourceShown = document.getElementById("place-source");
  let stop = null;
  // Taken without being asked for, it is given back as easily.
  let isByItself = false;
  let isBackAgain = false;

  let reading = null;
  /** By the ledger, which knows every way to write a place; by this phone where it does not answer soon. */
  const readBack = async () => {
    reading?.abort();
    const mine = (reading = new AbortController());
    const hereNow = () => {
      const said = placeTyped(typed.value);
      const className = said?.kind === "asked" ? "field__error" : "log-note";
      shown.replaceChildren(...(said ? [element("p", said.sentence, { className })] : []));
    };
    const timers = [setTimeout(hereNow, SOON_MS), setTimeout(() => mine.abort(), PATIENCE_MS)];
    try {
      const address = `${form.dataset.placeUrl}?place=${encodeURIComponent(typed.value)}`;
      const { text } = await send(address, { signal: mine.signal });
      fill(shown, text);
    } catch {
      if (mine === reading) hereNow();
    }
    timers.forEach(clearTimeout);
  };
  const readBackSoon = resting(readBack, 400);

  const setSource = (value) => {
    source.value = value;
    sourceShown.textContent = SOURCES[value] ?? value;
  };

  typed.addEventListener("input", () => {
    // By hand: a fix that comes later does not overwrite it.
    stop?.();
    setSource(typed.value ? "typed" : "");
    readBackSoon();
  });
  form.addEventListener("placed", (event) => {
    // From a photo: a fix that comes later does not overwrite it.
    if (event.detail !== "phone") stop?.();
    setSource(event.detail);
    readBack();
    askDay();
  });
  form.addEventListener("restored", () => {
    isBackAgain = true;
    if (typed.value && source.value !== "phone") stop?.();
    setSource(source.value);
    readBack();
    askDay();
  });

  const day = form.elements.found_on;
  const dayAsked = document.getElementById("found-on-ask");
  const askDay = () => {
    dayAsked.hidden = !(day.value > localDay(new Date()));
  };
  day.addEventListener("input", () => {
    askDay();
    // Where the phone is now is not where something was found on another day.
    if (isByItself && source.value === "phone" && day.value !== localDay(new Date())) takeOut(say("That was another day: the place is taken out again."));
  });

  /** Away with a place that came by itself. */
  function takeOut(why) {
    stop?.();
    for (const name of ["position_typed", "uncertainty_m", "altitude_m", "found_at_time"]) form.elements[name].value = "";
    document.getElementById("altitude-note").textContent = "";
    isByItself = false;
    setSource("");
    shown.replaceChildren();
    note.textContent = why;
    form.dispatchEvent(new Event("input"));
  }

  function put(fix) {
    typed.value = `${fix.latitude.toFixed(6)}, ${fix.longitude.toFixed(6)}`;
    form.elements.uncertainty_m.value = Math.max(1, Math.ceil(fix.accuracy));
    if (fix.altitude !== null && Number.isFinite(fix.altitude)) putAltitude(form, fix);
    stamp(form, new Date(fix.at));
    setSource("phone");
    form.dispatchEvent(new Event("input"));
  }

  button.dataset.usual = button.querySelector("[data-word]").textContent;
  const nameButton = (word) => {
    button.querySelector("[data-word]").textContent = word;
  };

  button.addEventListener("click", () => {
    if (stop) {
      stop();
      return;
    }
    if (!navigator.geolocation) {
      note.textContent = say("This phone tells no place. Type it, or take it from a photo.");
      return;
    }
    isByItself = false;
    listen();
  });

  function listen() {
    note.textContent = say("Listening for satellites …");
    nameButton(say("That is good enough: stop listening"));
    stop = watchPlace({
      onFix: (fix) => {
        put(fix);
        note.textContent = say("Good to {n} m so far, still listening.", { n: Math.ceil(fix.accuracy) });
      },
      onEnd: ({ best, reason }) => {
        stop = null;
        nameButton(button.dataset.usual);
        if (!form.isConnected) return;
        const isTaken = best && source.value === "phone";
        note.textContent = isTaken || !best ? (reason ?? takenWords(best)) : "";
        if (!isTaken) return;
        if (isByItself) note.append(" ", notHere());
        form.dispatchEvent(new CustomEvent("placed", { detail: "phone" }));
        check();
      },
    });
  }

  const takenWords = ({ accuracy }) => {
    const n = Math.ceil(accuracy);
    return isByItself
      ? say("Taken by itself, good to {n} m as the phone says.", { n })
      : say("Taken, good to {n} m as the phone says.", { n });
  };

  function notHere() {
    const away = element("button", say("Not found here"), { type: "button", className: "button button--quiet" });
    away.addEventListener("click", () => takeOut(say("Not found here: the place is taken out again.")));
    return away;
  }

  // Where it was allowed before, a new find's first touch begins it; a form that was only opened asks no satellite. Not
  // for what is typed up: from a slip, on another day, or in a form that was begun before.
  const isToBeHeard = () => !stop && !isBackAgain && !typed.value.trim() && day.value === localDay(new Date());
  const begin = async () => {
    for (const kind of TOUCHES) form.removeEventListener(kind, begin);
    if (!navigator.geolocation || !isToBeHeard() || !(await isAllowedAlready()) || !isToBeHeard()) return;
    isByItself = true;
    listen();
  };
  const isFromSlip = slipOf(location.search) !== null;
  form.addEventListener("ready", ({ detail: { draft } }) => {
    if (draft.isAmendment || isFromSlip || isBackAgain) return;
    for (const kind of TOUCHES) form.addEventListener(kind, begin);
    if (draft.isTouched) begin();
  });
  // Kept as far as it is known by then: it does not change in the outbox.
  form.addEventListener("submit", ({ submitter }) => submitter?.value === "keep" && stop?.(), { capture: true });

  startCompass(form);
}

/** Whether the phone tells its place without asking anybody first. */
async function isAllowedAlready() {
  try {
    return (await navigator.permissions.query({ name: "geolocation" })).state === "granted";
  } catch {
    return false; // It cannot be asked: then nothing begins by itself.
  }
}

function startCompass(form) {
  const button = document.getElementById("compass");
  if (!button) return;
  const note = document.getElementById("compass-note");
  button.addEventListener("click", async () => {
    button.disabled = true;
    note.textContent = say("Hold the phone level and point it the way the cap faces …");
    const heading = await readCompass();
    button.disabled = false;
    if (heading === null) {
      note.textContent = say("No direction came: not every phone tells one, and none that is held upright. Nothing was changed.");
      return;
    }
    form.elements.facing_deg.value = heading;
    form.elements.facing_deg.dispatchEvent(new Event("input", { bubbles: true }));
    note.textContent = say("Taken. Whether it counts from true or from magnetic north the phone does not say.");
  });
}

/** Never over what a hand has typed; said to be what it is. */
function putAltitude(form, { altitude, altitudeAccuracy }) {
  const box = form.elements.altitude_m;
  if (box.value && box.dataset.fromPhone !== box.value) return;
  box.value = Math.round(altitude);
  box.dataset.fromPhone = box.value;
  const note = document.getElementById("altitude-note");
  if (!note) return;
  note.textContent = Number.isFinite(altitudeAccuracy)
    ? say("From the phone ± {n} m, above the ellipsoid or the sea: phones differ, by tens of metres.", { n: Math.ceil(altitudeAccuracy) })
    : say("From the phone, above the ellipsoid or the sea: phones differ, by tens of metres.");
}

/** The time of the fix, where no time was typed and the day is today. */
function stamp(form, at) {
  if (form.elements.found_on.value === localDay(at) && !form.elements.found_at_time.value) {
    form.elements.found_at_time.value = `${two(at.getHours())}:${two(at.getMinutes())}`;
    form.elements.utc_offset_minutes.value = -at.getTimezoneOffset();
  }
}

const two = (number) => String(number).padStart(2, "0");

