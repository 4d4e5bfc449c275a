// The place: taken from the phone with its error, or typed and read back at once.
import { fill, resting, send } from "./send.js";

const WAIT_MS = 30000;

export function startPlace(form, check) {
  const button = document.getElementById("locate");
  const note = document.getElementById("locate-note");
  const typed = form.elements.position_typed;
  const source = form.elements.position_source;
  const shown = document.getElementById("place-note");
  const sourceShown = document.getElementById("place-source");

  const readBack = async () => {
    try {
      const { text } = await send(`${form.dataset.placeUrl}?place=${encodeURIComponent(typed.value)}`);
      fill(shown, text);
    } catch {
      shown.replaceChildren();
    }
  };
  const readBackSoon = resting(readBack, 400);

  const setSource = (value) => {
    source.value = value;
    sourceShown.textContent = value;
  };

  typed.addEventListener("input", () => {
    setSource(typed.value ? "typed" : "");
    readBackSoon();
  });
  form.addEventListener("placed", (event) => {
    setSource(event.detail);
    readBack();
    askDay();
  });
  form.addEventListener("restored", () => {
    setSource(source.value);
    readBack();
    askDay();
  });

  const day = form.elements.found_on;
  const dayAsked = document.getElementById("found-on-ask");
  const askDay = () => {
    dayAsked.hidden = !(day.value > dayText(new Date()));
  };
  day.addEventListener("input", askDay);

  button.addEventListener("click", () => {
    if (!navigator.geolocation) {
      note.textContent = "This phone tells no place. Type it, or take it from a photo.";
      return;
    }
    note.textContent = "Listening for satellites …";
    button.disabled = true;
    navigator.geolocation.getCurrentPosition(
      ({ coords, timestamp }) => {
        button.disabled = false;
        typed.value = `${coords.latitude.toFixed(6)}, ${coords.longitude.toFixed(6)}`;
        form.elements.uncertainty_m.value = Math.max(1, Math.ceil(coords.accuracy));
        if (coords.altitude !== null && !form.elements.altitude_m.value) {
          form.elements.altitude_m.value = Math.round(coords.altitude);
        }
        stamp(form, new Date(timestamp));
        note.textContent = `Taken, good to ${Math.ceil(coords.accuracy)} m.`;
        form.dispatchEvent(new CustomEvent("placed", { detail: "phone" }));
        check();
      },
      (problem) => {
        button.disabled = false;
        note.textContent = REASONS[problem.code] ?? REASONS[2];
      },
      { enableHighAccuracy: true, timeout: WAIT_MS, maximumAge: 0 },
    );
  });
}

const REASONS = {
  1: "The phone did not allow it. Nothing was changed; type the place, or allow it in the browser's settings.",
  2: "The phone found no place here. Nothing was changed; try under open sky, or type it.",
  3: "No place within 30 seconds. Nothing was changed; try again under open sky, or type it.",
};

/** The time of the fix, where no time was typed and the day is today. */
function stamp(form, at) {
  if (form.elements.found_on.value === dayText(at) && !form.elements.found_at_time.value) {
    form.elements.found_at_time.value = `${two(at.getHours())}:${two(at.getMinutes())}`;
    form.elements.utc_offset_minutes.value = -at.getTimezoneOffset();
  }
}

const two = (number) => String(number).padStart(2, "0");

const dayText = (at) => `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
