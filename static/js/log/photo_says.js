// What a photo on this phone says of its place and time, and the tap that puts it into the form.
import { exifOf } from "../phone/exif.js";
import { element } from "./pieces.js";
import { say } from "../words.js";

export function startPhotoSays(form, check) {
  form.addEventListener("photo-kept", async ({ detail: { blob, row } }) => {
    const facts = await exifOf(blob);
    const place = row.querySelector(".log-photo__says");
    if (!place?.isConnected) return;
    const said = saysOf(facts);
    if (!said) return;
    const { fields, what } = fillsOf(facts);
    const use = element("button", USES[what], { type: "button", className: "button button--quiet" });
    use.addEventListener("click", () => {
      for (const [name, value] of Object.entries(fields)) if (form.elements[name]) form.elements[name].value = value;
      form.dispatchEvent(new CustomEvent("placed", { detail: fields.position_source ?? form.elements.position_source.value }));
      check();
    });
    place.replaceChildren(element("p", said, { className: "small soft" }), use);
  });
}

/** In one short line: `3 Oct 2026 09:12 · place ± 8 m`; empty where the photo says nothing. */
export function saysOf({ day, time, latitude, errorM }) {
  const said = [];
  if (day) said.push(`${dayWords(day)} ${time}`);
  if (latitude !== null) said.push(`${say("place")}${errorM ? ` ± ${Math.round(errorM)} m` : ""}`);
  return said.join(" · ");
}

/** The form's fields that a photo can fill, and which they are: "place", "time" or "place and time". */
export function fillsOf({ day, time, offsetMinutes, latitude, longitude, errorM, altitudeM }) {
  const fields = {};
  const what = [];
  if (latitude !== null) {
    Object.assign(fields, { position_typed: `${latitude.toFixed(6)}, ${longitude.toFixed(6)}`, position_source: "photo" });
    // The error of another place is none of this one.
    fields.uncertainty_m = errorM ? String(Math.max(1, Math.round(errorM))) : "";
    if (altitudeM !== null) fields.altitude_m = altitudeM.toFixed(0);
    what.push("place");
  }
  if (day) {
    Object.assign(fields, { found_on: day, found_at_time: time });
    if (offsetMinutes !== null) fields.utc_offset_minutes = String(offsetMinutes);
    what.push("time");
  }
  return { fields, what: what.join(" and ") };
}

const USES = {
  place: say("Use place"),
  time: say("Use time"),
  "place and time": say("Use place and time"),
};

const MONTHS = [
  ...[say("Jan"), say("Feb"), say("Mar"), say("Apr"), say("May"), say("Jun")],
  ...[say("Jul"), say("Aug"), say("Sep"), say("Oct"), say("Nov"), say("Dec")],
];

const dayWords = (day) => {
  const [year, month, date] = day.split("-").map(Number);
  return say("{day} {month} {year}", { day: date, month: MONTHS[month - 1], year });
};
