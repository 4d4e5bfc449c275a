// What a photo says of when and where it was taken: a small reader for EXIF, with the rules of ledger/photos/exif.py.
// What cannot be right is null, and nothing throws. Layout: CIPA DC-008 (Exif 2.32), TIFF 6.0.
import { blockIn, tiffView } from "./exif_block.js";

// Where the metadata are said to be stands at the start of a file; they themselves are some 64 kB at most.
const READ_BYTES = 256 * 1024;
const EXIF_IFD = 0x8769;
const GPS_IFD = 0x8825;
const DATE_ORIGINAL = 0x9003;
const OFFSET_ORIGINAL = 0x9011;
const GPS = { latitudeRef: 1, latitude: 2, longitudeRef: 3, longitude: 4, altitudeRef: 5, altitude: 6, error: 31 };
const SIZES = { 1: 1, 2: 1, 3: 2, 4: 4, 5: 8 };
const MOST_ENTRIES = 500;
const LONGEST_ERROR_M = 20_037_509;
const LOWEST_M = -500;
const HIGHEST_M = 9000;

export const NOTHING = Object.freeze({
  day: null, time: null, offsetMinutes: null, latitude: null, longitude: null, errorM: null, altitudeM: null,
});

/** As exifIn, of a Blob, of which only what is needed is read. */
export async function exifOf(blob) {
  try {
    const head = await bytesOf(blob, 0, READ_BYTES);
    const block = blockIn(head);
    if (!block) return NOTHING;
    const end = block.start + Math.min(block.length, READ_BYTES);
    return factsIn(end <= head.length ? head.subarray(block.start, end) : await bytesOf(blob, block.start, end), block);
  } catch {
    return NOTHING;
  }
}

const bytesOf = async (blob, from, to) => new Uint8Array(await blob.slice(from, to).arrayBuffer());

/**
 * {day: "2026-10-03", time: "09:12", offsetMinutes, latitude, longitude, errorM, altitudeM} of the bytes of a JPEG or HEIC;
 * null each where the photo does not say, never 0. The day and time are the camera's own clock.
 */
export function exifIn(bytes) {
  try {
    const block = blockIn(bytes);
    return block ? factsIn(bytes.subarray(block.start, block.start + block.length), block) : NOTHING;
  } catch (problem) {
    if (problem instanceof RangeError) return NOTHING; // cut short, or pointing past its end
    throw problem;
  }
}

function factsIn(bytes, block) {
  const tiff = tiffOf(tiffView(bytes, block));
  if (!tiff) return NOTHING;
  const first = tiff.entries(tiff.long(4));
  return { ...whenOf(tiff, first), ...whereOf(tiff, first) };
}

function tiffOf(view) {
  const order = view.getUint16(0);
  if (order !== 0x4949 && order !== 0x4d4d) return null;
  const isLittle = order === 0x4949;
  const short = (at) => view.getUint16(at, isLittle);
  const long = (at) => view.getUint32(at, isLittle);
  if (short(2) !== 42) return null;
  return { view, short, long, entries: (at) => entriesAt({ view, short, long }, at) };
}

/** Map by tag: {kind, count, at} with `at` where its value lies. */
function entriesAt({ short, long }, start) {
  const found = new Map();
  const many = Math.min(short(start), MOST_ENTRIES);
  for (let i = 0; i < many; i += 1) {
    const at = start + 2 + 12 * i;
    const [tag, kind, count] = [short(at), short(at + 2), long(at + 4)];
    if (!(kind in SIZES) || found.has(tag)) continue;
    found.set(tag, { kind, count, at: SIZES[kind] * count <= 4 ? at + 8 : long(at + 8) });
  }
  return found;
}

function whenOf(tiff, first) {
  const entry = first.get(EXIF_IFD);
  const exif = entry ? tiff.entries(tiff.long(entry.at)) : new Map();
  const written = textOf(tiff, exif.get(DATE_ORIGINAL)) ?? "";
  const match = /^(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)$/.exec(written);
  if (!match || !isMoment(match.slice(1).map(Number))) return { day: null, time: null, offsetMinutes: null };
  const [, year, month, day, hour, minute] = match;
  return { day: `${year}-${month}-${day}`, time: `${hour}:${minute}`, offsetMinutes: offsetOf(textOf(tiff, exif.get(OFFSET_ORIGINAL))) };
}

function isMoment([year, month, day, hour, minute, second]) {
  if (year < 1 || month < 1 || month > 12 || hour > 23 || minute > 59 || second > 59) return false;
  const isLeap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const days = [31, isLeap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1];
  return day >= 1 && day <= days;
}

/** Minutes east of UTC; null where it is none. */
function offsetOf(written) {
  if (written === "Z") return 0;
  const match = /^([+-])(\d\d):(\d\d)$/.exec(written ?? "");
  if (!match || Number(match[3]) > 59) return null;
  const minutes = (match[1] === "-" ? -1 : 1) * (Number(match[2]) * 60 + Number(match[3]));
  return minutes >= -720 && minutes <= 840 ? minutes : null;
}

function whereOf(tiff, first) {
  const nowhere = { latitude: null, longitude: null, errorM: null, altitudeM: null };
  const entry = first.get(GPS_IFD);
  if (!entry) return nowhere;
  const gps = tiff.entries(tiff.long(entry.at));
  const altitudeM = altitudeOf(tiff, gps);
  const errorM = between(numbersOf(tiff, gps.get(GPS.error))?.[0] ?? null, Number.MIN_VALUE, LONGEST_ERROR_M);
  const latitude = degrees(numbersOf(tiff, gps.get(GPS.latitude)), textOf(tiff, gps.get(GPS.latitudeRef)), "NS", 90);
  const longitude = degrees(numbersOf(tiff, gps.get(GPS.longitude)), textOf(tiff, gps.get(GPS.longitudeRef)), "EW", 180);
  // 0, 0 is what a receiver without a fix writes; one half of a position is none.
  const isPlace = latitude !== null && longitude !== null && !(latitude === 0 && longitude === 0);
  return { ...(isPlace ? { latitude, longitude } : { latitude: null, longitude: null }), errorM, altitudeM };
}

function degrees(parts, letter, letters, limit) {
  const ref = (letter ?? "").toUpperCase();
  if (!parts || parts.length !== 3 || parts.includes(null) || ref.length !== 1 || !letters.includes(ref)) return null;
  const [whole, minutes, seconds] = parts;
  if (whole < 0 || minutes < 0 || minutes >= 60 || seconds < 0 || seconds >= 60) return null;
  if ((whole % 1 && (minutes || seconds)) || (minutes % 1 && seconds)) return null;
  const value = whole + minutes / 60 + seconds / 3600;
  if (value > limit) return null;
  return ref === letters[1] ? -value : value;
}

/** Metres; minus for the references 1 and 3. Of which height it is, the older and the newer Exif say differently. */
function altitudeOf(tiff, gps) {
  const number = numbersOf(tiff, gps.get(GPS.altitude))?.[0] ?? null;
  const entry = gps.get(GPS.altitudeRef);
  const ref = entry ? numbersOf(tiff, entry)?.[0] ?? null : 0;
  if (number === null || number < 0 || ![0, 1, 2, 3].includes(ref)) return null;
  return between(ref === 1 || ref === 3 ? -number : number, LOWEST_M, HIGHEST_M);
}

const between = (number, least, most) => (number === null || number < least || number > most ? null : number);

/** The numbers of an entry; null in it where a fraction has nothing below the line. */
function numbersOf({ view, short, long }, entry) {
  if (!entry || entry.kind === 2 || entry.count > 8) return null;
  return Array.from({ length: entry.count }, (_, i) => {
    const at = entry.at + i * SIZES[entry.kind];
    if (entry.kind === 1) return view.getUint8(at);
    if (entry.kind === 3) return short(at);
    if (entry.kind === 4) return long(at);
    return long(at + 4) === 0 ? null : long(at) / long(at + 4);
  });
}

function textOf({ view }, entry) {
  if (!entry || entry.kind !== 2 || entry.count > 200) return null;
  let text = "";
  for (let i = 0; i < entry.count; i += 1) {
    const code = view.getUint8(entry.at + i);
    if (code === 0) break;
    text += String.fromCharCode(code);
  }
  return text.trim();
}
