// The day at a foray's table, as data: what a short entry says in the fields of the log form, the list of the day with
// what others sent, and its totals. Pure: no store, no page, no clock.
import { say } from "../words.js";
import { valueIn } from "./message.js";

const SUBSTRATE = "r-substrate_state-states";
// The fields of the log form that the short entry of the table asks for. All others of a find stay as they are.
const ASKED = new Set([
  ...["name_typed", "determiner_name", SUBSTRATE, "host", "fruit_bodies", "kept", "serial", "find_id"],
  ...["found_on", "foray", "locality", "permission", "position_typed", "position_source", "uncertainty_m", "keyed_at_table"],
]);
// What says that there is a find at all: the rest is the same for the whole table, or stands in every form.
const SAYING = /^(name_typed|host|fruit_bodies|serial|smell|note|r-.*-(states|looked|values|line))$/;

/** One table is one foray, or where there is none, one day. */
export const keyOf = ({ foray, day }) => (foray ? `foray ${foray}` : `day ${day}`);

/**
 * The fields [[name, value]] of a find, with the place of `table` where it has one: `typed` {name, substrates, host, count, isKept, serial} over what it had before.
 * `namer`: a person or null; `holder`: the member who keys, whose own opinions need no name beside them.
 */
export function fieldsOf({ id, typed, namer, holder, table, offsetMinutes }, before = []) {
  const isNamed = typed.name.trim() !== "";
  const own = [
    ["find_id", id],
    ["found_on", table.day],
    ["foray", table.foray ? String(table.foray) : ""],
    ["permission", valueIn(before, "permission") || table.permission || ""],
    ["locality", valueIn(before, "locality") || table.locality || ""],
    ...placeOf(table, before),
    ["keyed_at_table", "on"],
    ["name_typed", typed.name],
    ["determiner_name", isNamed && namer && namer.member !== holder ? namer.name : ""],
    ...typed.substrates.map((code) => [SUBSTRATE, code]),
    ["host", typed.host],
    ["fruit_bodies", typed.count],
    ["serial", typed.serial],
    ...(typed.isKept ? [["kept", "on"]] : []),
  ];
  const rest = before.filter(([name]) => !ASKED.has(name));
  if (!rest.some(([name]) => name === "utc_offset_minutes")) {
    rest.push(["utc_offset_minutes", String(offsetMinutes)]);
  }
  return [...rest, ...own.filter(([, value]) => value !== "")];
}

/** Metres from the table's place within which its finds lie: as far as anybody looked, and the phone's own error. */
export const errorOf = ({ reach, accuracy }) => Math.ceil(reach + (accuracy ?? 0));

/** The table's one place, said to be the table's; a place of the find's own, from the whole form, goes before it. */
function placeOf(table, before) {
  const own = ["position_typed", "position_source", "uncertainty_m"].map((name) => [name, valueIn(before, name)]);
  const isOwn = valueIn(before, "position_typed") && valueIn(before, "position_source") !== "table";
  if (isOwn || table.place === undefined) return own;
  const place = table.place?.key === keyOf(table) ? table.place : null;
  if (!place) return [];
  return [
    ["position_typed", place.text],
    ["position_source", "table"],
    ["uncertainty_m", String(errorOf(place))],
  ];
}

/** What the short entry shows of a find; as `typed` above. */
export const typedOf = (fields) => ({
  name: valueIn(fields, "name_typed"),
  substrates: fields.filter(([name]) => name === SUBSTRATE).map(([, value]) => value),
  host: valueIn(fields, "host"),
  count: valueIn(fields, "fruit_bodies"),
  serial: valueIn(fields, "serial"),
  isKept: fields.some(([name]) => name === "kept"),
});

export const BLANK = { name: "", substrates: [], host: "", count: "", serial: "", isKept: true };

/** Whether anything is said of the specimen itself, or was in the whole form: without it there is no find to keep. */
export const isWorthKeeping = ({ fields, photos }) =>
  photos.length > 0 || fields.some(([name, value]) => value.trim() !== "" && SAYING.test(name));

/** Finder's code and serial, as far as they are known: a number written on a slip goes before the phone's. */
export function numberOf(find) {
  const serial = valueIn(find.fields, "serial").trim();
  if (serial && !find.onLedger) return find.memberCode ? `${find.memberCode} ${serial}` : serial;
  return find.number ?? null;
}

// --- the list of the day ---

/**
 * The rows of one table, the latest first: {id, number, finder, name, state, by, at, isHere, isTwice}. `finds` are those of
 * this phone's store; `kept` earlier rows of finds that were confirmed; `ledger` rows as `/phone/table/<foray>.json` gives
 * them. One find is one row, by its UUID; what waits here goes before what the ledger has of it. state: as in the store,
 * or "there" for what is on the ledger. `without`: the find in the form just now.
 */
export function rowsOfDay({ finds, kept = {}, ledger = [], key, without = null }) {
  const rows = new Map();
  for (const row of Object.values(kept)) rows.set(row.id, row);
  for (const row of ledger) rows.set(row.id, ledgerRow(row, rows.get(row.id)));
  for (const find of finds) {
    if (!find.table || keyOf(find.table) !== key || find.id === without) continue;
    if (find.state === "typing" && !isWorthKeeping(find)) continue;
    const there = rows.get(find.id);
    const here = hereRow(find);
    rows.set(find.id, find.state === "confirmed" && there ? { ...there, isHere: true, at: here.at } : here);
  }
  const counted = new Map();
  for (const { number } of rows.values()) if (number) counted.set(number, (counted.get(number) ?? 0) + 1);
  return [...rows.values()]
    .map((row) => ({ ...row, isTwice: counted.get(row.number) > 1 }))
    .sort((one, other) => other.at - one.at || one.id.localeCompare(other.id));
}

const ledgerRow = (row, had) => ({
  id: row.id,
  number: row.number,
  finder: row.finder,
  name: row.name,
  by: row.by,
  at: had?.at ?? Date.parse(row.logged_at),
  state: "there",
  isHere: Boolean(had),
});

const hereRow = (find) => ({
  id: find.id,
  number: numberOf(find),
  finder: find.table.finder?.name ?? "",
  name: valueIn(find.fields, "name_typed"),
  by: find.memberName ?? "",
  at: find.madeAt,
  state: find.state === "confirmed" ? "there" : find.state,
  isHere: true,
});

/** Rows worth remembering when the store lets the finds go: those that are on the ledger. By UUID. */
export const keptRows = (rows) =>
  Object.fromEntries(rows.filter((row) => row.state === "there" && row.isHere).map((row) => [row.id, row]));

const STATES = {
  typing: say("begun, not kept yet"),
  waiting: say("in the outbox"),
  sending: say("in the outbox, on its way"),
  refused: say("in the outbox: to be corrected"),
  changed: say("in the outbox: changed on the ledger meanwhile"),
};

/** Where a find of the day is, in words. */
export const stateWords = (row) =>
  STATES[row.state] ??
  (row.isHere || !row.by ? say("on the ledger") : say("on the ledger, sent by {name}", { name: row.by }));

/** How many finds each finder has, and each name; the most first. `unnamed` stands for those without a name. */
export function totals(rows, { unnamed = say("no name yet"), unsaid = say("finder not said") } = {}) {
  return {
    finders: counts(rows.map((row) => row.finder || unsaid)),
    names: counts(rows.map((row) => row.name || unnamed)),
  };
}

function counts(words) {
  const many = new Map();
  for (const word of words) many.set(word, (many.get(word) ?? 0) + 1);
  return [...many].sort((one, other) => other[1] - one[1] || one[0].localeCompare(other[0]));
}

/** Values typed most often today, for a tap instead of typing. */
export const mostUsed = (values, many) =>
  counts(values.filter(Boolean))
    .slice(0, many)
    .map(([value]) => value);
