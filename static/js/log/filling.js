// Filling the form: with what lies on the phone, and with what a new find begins with.
import { openAround } from "./boxes.js";
import { element, isOtherThanUsual } from "./pieces.js";
import { say } from "../words.js";

const NEVER = "button, fieldset, [type=file], [name=csrfmiddlewaretoken], [name=find_id], [name^=view-of-]";

/** Put fields [[name, value]] into the form; those in `except` (names) stay as they are. */
export function putBack(form, fields, { except = new Set() } = {}) {
  const given = new Map();
  for (const [name, value] of fields) given.set(name, [...(given.get(name) ?? []), value]);
  makeBoxes(form, given);
  for (const field of [...form.elements]) {
    if (!field.name || field.matches(NEVER) || except.has(field.name)) continue;
    const values = given.get(field.name);
    if (field.matches("[type=radio], [type=checkbox]")) field.checked = values?.includes(field.value) ?? false;
    else if (values?.length) setValue(field, values.shift());
    if (isOtherThanUsual(field)) openAround(field);
  }
  form.dispatchEvent(new CustomEvent("restored"));
}

/** Put only these fields into the form, and leave all others alone. */
export function putIn(form, fields) {
  const names = new Set(fields.map(([name]) => name));
  putBack(form, fields, {
    except: new Set([...form.elements].map((field) => field.name).filter((name) => !names.has(name))),
  });
}

/** As many boxes as there were values. */
function makeBoxes(form, given) {
  for (const boxes of form.querySelectorAll("[data-replicates]")) {
    const name = boxes.querySelector("input").name;
    const wanted = given.get(name)?.length ?? 0;
    for (let there = boxes.querySelectorAll("input").length; there < wanted; there += 1) {
      form.dispatchEvent(new CustomEvent("box-wanted", { detail: boxes }));
    }
  }
}

/** A foray this phone has not heard of yet is kept as it was chosen. */
function setValue(field, value) {
  if (field.matches("select") && value && ![...field.options].some((option) => option.value === value)) {
    field.append(new Option(say("chosen before ({value})", { value }), value));
  }
  field.value = value;
}

/** Forays of the club, newest first as the ledger lists them; the one of today is chosen where there is exactly one. */
export function fillForays(form, forays, { today, choose }) {
  const select = form.elements.foray;
  if (!select) return;
  const known = new Set([...select.options].map((option) => option.value));
  for (const foray of forays) {
    if (!known.has(String(foray.id)))
      select.append(element("option", `${foray.name}, ${foray.held_on}`, { value: foray.id }));
  }
  const ofToday = forays.filter((foray) => foray.held_on === today);
  if (choose && !select.value && ofToday.length === 1) select.value = ofToday[0].id;
}

export function localDay(at = new Date()) {
  const two = (number) => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/** Fields that a find of the same log has in common with the one before: the place, the foray, the host, the wood. */
const OF_THE_LOG = [
  ...["position_typed", "position_source", "uncertainty_m", "altitude_m", "datum", "locality", "foray", "permission"],
  ...["own_blur_step_deg", "host", "host_known_by", "trees_nearby", "diameter_cm", "decay"],
];
const TRAITS_OF_THE_LOG = /^r-(host|substrate_state|rot)-/;

export const fieldsOfLog = (fields) =>
  fields.filter(([name, value]) => value !== "" && (OF_THE_LOG.includes(name) || TRAITS_OF_THE_LOG.test(name)));
