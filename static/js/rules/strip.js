// The geometry of a range strip: documented ranges of a few taxa on one axis, and a reading across them. The same as
// ledger/traits/strip.py. Everything is in per cent of the axis.

import { judges } from "./documented.js";
import { general } from "./printed.js";
import { rounded } from "./rounding.js";
import { numberText } from "./units.js";
import { say, sayN } from "../words.js";

export const UNIT_WORDS = { mm: "mm", um: "µm", "1/mm": say("per mm"), month: say("month") };

const WANTED_TICKS = 4;

/**
 * The strip of a measured trait for `taxa` in their order, or null where nothing can be drawn. Rows that cannot judge a
 * specimen in that state and age are left out. `reach` is {low, high, uncertainty} in the trait's unit, or null.
 */
export function stripFor(reference, trait, taxa, { reach = null, named = null, state = null, age = null }) {
  if (trait.kind !== "number") return null;
  const shown = taxa
    .map((taxon) => ({ taxon, rows: reference.rangesFor(taxon, trait.code).filter((row) => isDrawn(row, state, age)) }))
    .filter(({ rows }) => rows.length);
  if (!shown.length) return null;
  const numbers = shown
    .flatMap(({ rows }) => rows.flatMap((row) => [row.lowExtreme, row.low, row.high, row.highExtreme]))
    .filter((bound) => bound !== null);
  if (reach) numbers.push(reach.high + reach.uncertainty);
  const [top, step] = axis(Math.max(...numbers));
  const word = UNIT_WORDS[trait.unit ?? ""] ?? trait.unit ?? "";
  const rows = shown.map((one) => stripRow(one, one.taxon === named, top));
  const mark = reach ? markOf(reach, top, word) : null;
  const told = [`${say(trait.label)}, ${word}.`];
  if (mark) told.push(say("Your reading: {reading}.", { reading: mark.text }));
  told.push(...rows.map((row) => `${row.taxon}: ${row.text}.`));
  return { unit: word, rows, ticks: ticksOf(top, step), mark, sentence: told.join(" ") };
}

/** `Trametes versicolor` as `T. versicolor`; a name of one word stays whole. */
export function shortName(taxon) {
  const [genus, ...rest] = taxon.split(" ");
  return rest.length ? `${[...genus][0]}. ${rest.join(" ")}` : taxon;
}

/** The outermost `(low_extreme-) low - high (-high_extreme)` over the sources, and how many they are. */
export function rangeText(rows) {
  let low = least(rows.map((row) => row.low));
  let high = most(rows.map((row) => row.high));
  const lowest = least(rows.map((row) => row.lowest));
  const highest = most(rows.map((row) => row.highest));
  if (low === null && high === null) [low, high] = [lowest, highest];
  const before = lowest !== null && low !== null && lowest < low ? `(${numberText(lowest)}–)` : "";
  const after = highest !== null && high !== null && highest > high ? `(–${numberText(highest)})` : "";
  const books = new Set(rows.map((row) => row.source)).size;
  return sayN("{range}, {n} source", "{range}, {n} sources", books, { range: before + core(low, high) + after });
}

function core(low, high) {
  if (low !== null && high !== null && low !== high) return `${numberText(low)}–${numberText(high)}`;
  if (low === null && high !== null) return say("up to {number}", { number: numberText(high) });
  if (low !== null && high === null) return say("from {number}", { number: numberText(low) });
  return numberText(low ?? 0);
}

function isDrawn(row, state, age) {
  return (row.lowest !== null || row.highest !== null) && judges(row.condition, state, age) !== "no";
}

/** The end of the axis, a little beyond the largest number, and the step of its ticks: 1, 2 or 5 times 10^k. */
function axis(largest) {
  if (!Number.isFinite(largest) || largest <= 0) return [1, 1];
  const rough = largest / WANTED_TICKS;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((one) => one >= rough * 0.999);
  return [Math.max(largest * 1.04, step), step];
}

function ticksOf(top, step) {
  const ticks = [];
  for (let count = 0; count <= Math.trunc(top / step + 1e-9); count += 1) {
    const x = percent(count * step, top);
    ticks.push({ x, text: numberText(count * step), anchor: count === 0 ? "start" : x > 96 ? "end" : "middle" });
  }
  return ticks;
}

function percent(value, top) {
  return rounded(Math.min(Math.max((100 * value) / top, 0), 100), 2);
}

function stripRow({ taxon, rows }, named, top) {
  const lowest = least(rows.map((row) => row.lowest));
  const highest = most(rows.map((row) => row.highest));
  return {
    taxon,
    short: shortName(taxon),
    named,
    bars: rows.map((row) => barOf(row, top)),
    extremeX: lowest === null ? null : percent(lowest, top),
    extremeEnd: highest === null ? null : percent(highest, top),
    text: rangeText(rows),
  };
}

function barOf(row, top) {
  const low = row.low ?? row.lowExtreme;
  const high = row.high ?? row.highExtreme;
  const x = percent(low ?? 0, top);
  const end = high === null ? 100 : percent(high, top);
  // A single printed figure is a line, not nothing.
  const width = Math.max(rounded(end - x, 2), 0.6);
  return { x, width, isOpen: low === null || high === null, doubtful: row.doubtful, binding: row.binding };
}

function markOf(reach, top, word) {
  const start = percent(reach.low - reach.uncertainty, top);
  const end = percent(reach.high + reach.uncertainty, top);
  const lines = [...new Set([percent(reach.low, top), percent(reach.high, top)])].sort((one, other) => one - other);
  const low = numberText(reach.low);
  const spread = reach.low === reach.high ? low : `${low}–${numberText(reach.high)}`;
  const about = reach.uncertainty ? ` ± ${general(reach.uncertainty, 2)}` : "";
  return { lines, x: start, width: rounded(end - start, 2), text: `${spread}${about} ${word}` };
}

const given = (bounds) => bounds.filter((bound) => bound !== null);
const least = (bounds) => (given(bounds).length ? Math.min(...given(bounds)) : null);
const most = (bounds) => (given(bounds).length ? Math.max(...given(bounds)) : null);
