// One trait of the log form: what was typed or ticked, made into a reading or refused; the same as the rows of
// ledger/finds/forms_readings.py.

import { AGES, SPECIMEN_STATES } from "./reading.js";
import { roundedTo } from "./printed.js";
import { byCharacter, firstOf, strip } from "./text.js";
import { TypedError, boundsOf, parseMeasure } from "./typed.js";
import { numberText, withUnit } from "./units.js";
import { say } from "../words.js";

const MOST_BOXES = 200;
const LOOKED = ["", "cannot say", "absent"];

/**
 * {reading, problem, ways, converted} of one trait: the reading as in a specimen or null, what is wrong with it, the two
 * ways it could be read, and what another unit was turned into. What was typed stays in the form, whatever comes of it.
 *
 * `all(name)` gives every value of a field of the form, in order; `resolutions` is {instrument: resolution} of the unit.
 */
export function readRow(trait, all, resolutions) {
  const made = { reading: null, problem: "", ways: [], converted: "" };
  const row = typedRow(trait, all);
  const problem = contradiction(trait, row);
  if (problem) return { ...made, problem };
  if (!row.looked && !isFilled(trait, row)) return made;
  try {
    made.reading = readingOf(trait, row, resolutions, (told) => {
      made.converted = told;
    });
    return made;
  } catch (error) {
    if (!(error instanceof TypedError)) throw error;
    const told = { label: say(trait.label), problem: error.message };
    return { ...made, problem: say("{label}: {problem}. It was kept as typed; correct it here.", told), ways: error.readings };
  }
}

function typedRow(trait, all) {
  const values = (part) => all(`r-${trait.code}-${part}`);
  const last = (part) => values(part).at(-1) ?? "";
  const boxes = values("values").slice(0, MOST_BOXES).map((text) => firstOf(strip(text), 60));
  return {
    given: boxes.filter(Boolean),
    line: firstOf(strip(last("line")), 200),
    unit: last("unit") || trait.unit,
    instrument: last("instrument"),
    looked: values("looked").join(" and "),
    states: [...new Set(values("states"))].sort(byCharacter),
    state: last("state"),
    age: last("age"),
  };
}

/** Whether something is read here. What is chosen from states has no boxes to type into. */
function isFilled(trait, row) {
  return trait.kind === "number" ? Boolean(row.line || row.given.length) : row.states.length > 0;
}

function contradiction(trait, row) {
  const label = say(trait.label);
  if (row.looked === "cannot say and absent") {
    return say("{label}: “cannot say” and “absent” are both chosen. Both were kept here. Take one back.", { label });
  }
  const codes = (trait.states ?? []).map((state) => state.code);
  const known =
    LOOKED.includes(row.looked) &&
    row.states.every((state) => codes.includes(state)) &&
    ["", ...SPECIMEN_STATES].includes(row.state) &&
    ["", ...AGES].includes(row.age);
  if (!known) {
    return say("{label}: the form sent a choice that does not exist. The rest was kept. Choose again.", { label });
  }
  if (row.looked && isFilled(trait, row)) {
    return say(
      "{label}: something is entered, and “{looked}” is chosen as well. Both were kept here. Take " +
        "one of them back.",
      { label, looked: row.looked === "absent" ? say("absent") : say("cannot say") },
    );
  }
  return "";
}

function readingOf(trait, row, resolutions, tellConversion) {
  const reading = {
    looked: row.looked || "read",
    values: [],
    low: null,
    high: null,
    n: null,
    unit: null,
    resolution: null,
    states: [],
    state: row.state || null,
    age: row.age || null,
  };
  if (row.looked) return reading;
  if (trait.kind !== "number") return { ...reading, states: row.states };
  if (row.given.length && row.line) {
    throw new TypedError(say("both the boxes and the line below are filled; empty one of them"));
  }
  const typed = row.given.length ? row.given : [row.line];
  const shown = typed.map((text) => (row.unit === trait.unit ? text : withChosenUnit(text, row.unit)));
  const measures = shown.map((text) => parseMeasure(text, trait.unit));
  tellConversion(conversion(shown, measures, trait.unit));
  reading.unit = trait.unit;
  reading.resolution = Object.hasOwn(resolutions, row.instrument) ? resolutions[row.instrument] : null;
  if (measures.length === 1 && measures[0].low !== null) {
    const [low, high] = boundsOf(measures[0], trait.compared ?? null).map(exact);
    return { ...reading, low, high, n: measures[0].n };
  }
  if (measures.some((measure) => measure.low !== null)) {
    throw new TypedError(say("a range stands in one of several boxes; put it alone, into the line below"));
  }
  return { ...reading, values: measures.flatMap((measure) => measure.values).map(exact) };
}

/** `4-5 n=3` in a row of inches is `4-5 in n=3`; a unit typed into the box itself wins over the one chosen beside it. */
function withChosenUnit(typed, unit) {
  const text = typed.toLowerCase();
  const at = text.indexOf("n");
  const [numbers, mark, count] = at < 0 ? [text, "", ""] : [text.slice(0, at), "n", text.slice(at + 1)];
  if (/[\p{L}"]/u.test(numbers + count)) return text;
  return strip(`${strip(numbers)} ${unit} ${mark}${count}`);
}

/** Free of the last bits that a conversion leaves: 1.5 inch are 38.1 mm, not 38.099999999999994. */
function exact(value) {
  return roundedTo(value, 10);
}

/** Says openly what another unit was turned into. */
function conversion(shown, measures, unit) {
  if (measures.every((measure) => measure.writtenUnit === null)) return "";
  const told = measures.map((measure, i) => {
    const said = measure.values.length
      ? measure.values.map(numberText).join(", ")
      : `${numberText(measure.low ?? 0)}–${numberText(measure.high ?? 0)}`;
    return `${shown[i]} = ${withUnit(said, unit)}`;
  });
  return told.join("; ");
}
