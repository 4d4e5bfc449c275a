// The fields of the log form as a specimen that can be checked: what ledger/finds/forms.py, forms_readings.py and
// assess.py make of them.

import { dayOf } from "./dates.js";
import { readRow } from "./form_reading.js";
import { groupOf } from "./hosts.js";
import { readName } from "./names.js";
import { AGES, SPECIMEN_STATES } from "./reading.js";
import { lengthOf, strip } from "./text.js";
import { visible } from "./visible.js";

const SEASON = "fruiting_months";
const HOST = "host";
const LONGEST_HOST = 120;
const LONGEST_NAME = 200;

/**
 * {specimen, problems, ways, converted, named} of `fields`, a list of [name, value] as FormData gives them.
 *
 * `specimen` is as in specimen.js, without an id. `problems` is {trait: sentence} for readings that cannot be taken,
 * `ways` {trait: the two ways such a text can be read}, `converted` {trait: what another unit was turned into}; `named`
 * is the typed name as names.js understands it. `reference` has `traits` and `taxa` (Maps by code and by name) and `form`:
 * {resolutions: {unit: {instrument: resolution}}, hosts: {group: names}}.
 */
export function specimenOf(fields, reference) {
  const values = valuesByName(fields);
  const all = (name) => values.get(name) ?? [];
  const last = (name) => all(name).at(-1) ?? "";
  const made = { readings: {}, problems: {}, ways: {}, converted: {} };
  for (const trait of reference.traits.values()) {
    if (trait.kind === "months") continue;
    const row = readRow(trait, all, reference.form.resolutions[trait.unit ?? ""] ?? {});
    if (row.reading) made.readings[trait.code] = row.reading;
    if (row.problem) made.problems[trait.code] = row.problem;
    if (row.ways.length) made.ways[trait.code] = row.ways;
    if (row.converted) made.converted[trait.code] = row.converted;
  }
  addWhatTheRecordSays(made.readings, last, reference.form.hosts);
  const named = readName(shortText(last("name_typed"), LONGEST_NAME), reference.taxa);
  const specimen = {
    taxon: named.taxon,
    state: oneOf(last("specimen_state"), SPECIMEN_STATES),
    age: oneOf(last("specimen_age"), AGES),
    readings: made.readings,
  };
  return { specimen, problems: made.problems, ways: made.ways, converted: made.converted, named };
}

/** The month comes from the day of the find: nobody types it. A typed host tells the kind of wood where nobody chose it. */
function addWhatTheRecordSays(readings, last, hosts) {
  const day = dayOf(last("found_on"));
  if (day) readings[SEASON] = { ...EMPTY, values: [day.month], unit: "month" };
  const group = groupOf(hosts, shortText(last("host"), LONGEST_HOST));
  if (!(HOST in readings) && group) readings[HOST] = { ...EMPTY, states: [group] };
}

const EMPTY = Object.freeze({
  looked: "read", values: [], low: null, high: null, n: null, unit: null, resolution: null, states: [], state: null,
  age: null,
});

/** A text box as the ledger takes it, without what no eye can see; one that is too long is refused and says nothing. */
function shortText(typed, most) {
  const text = strip(visible(typed));
  return lengthOf(text) > most ? "" : text;
}

function oneOf(code, known) {
  return known.includes(code) ? code : null;
}

function valuesByName(fields) {
  const values = new Map();
  for (const [name, value] of fields) {
    if (!values.has(name)) values.set(name, []);
    values.get(name).push(value);
  }
  return values;
}
