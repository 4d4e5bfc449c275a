// What a phone can say of a typed place: plain decimal degrees it reads itself; what the ledger will surely ask about it
// names; everything between is left to the ledger, which knows more ways to write a place (ledger/places/parse.py). Pure.
// Nothing is named here that the ledger would take.

import { seenOf } from "./typed_number.js";
import { say } from "../words.js";

// Two numbers parted by a comma that is none of theirs, since a point stands in one of them or a space after it: no other
// reading of them is there.
const DECIMAL = /^(?=.*\.|.*,\s)(-?[0-9]{1,3}(?:\.[0-9]+)?)\s*,\s*(-?[0-9]{1,3}(?:\.[0-9]+)?)$/;
const ONE_NUMBER = /^[+-]?[0-9]{1,3}(\.[0-9]+)?$/;
const UTM_WITHOUT_ZONE = /^(?:utm\s*)?[0-9]{6,7}(?:[.,][0-9]+)?\s*m?[EN]?[\s,;]+[0-9]{6,7}(?:[.,][0-9]+)?\s*m?[EN]?$/i;
const COUNTRY_GRID = /^[A-Z]{2}\s*[,:]?\s*[0-9]{1,5}\s*,?\s*[0-9]{1,5}$/i;
const FIGURE = /[0-9\uff10-\uff19]/;
// A string of ISO 6709 may name any system of coordinates; letters of full width are read as plain ones.
const ANY_WORDS = /CRS|[\uff01-\uff5e]/;
const WORD = /\p{L}{4,}/gu;
// Runs of four letters or more that may stand beside coordinates: sides and parts of a degree, grids, datums, errors.
const OF_PLACES = new Set(
  (
    "north south east west latitude longitude long degs degree degrees mins minute minutes secs second seconds utmzone zone " +
    "mgrs etrs osgb nzgd sirgas epsg error accuracy uncertainty known datum metres meters altitude elevation elev"
  ).split(" "),
);
// Signs of keyboards that are letters by their kind.
const AS_MARKS = /[\u02b9\u02ba\u02bc\u1d52\u00ba]/g;

/**
 * {kind, sentence, latitude, longitude} of a typed place, or null for an empty box. `kind`: "read" (with decimal degrees,
 * north and east positive), "asked" (the ledger will refuse it, and the sentence says why), "later" (the ledger reads it
 * when the find reaches it).
 */
export function placeTyped(text) {
  const typed = text.trim();
  if (!typed) return null;
  const pair = DECIMAL.exec(typed);
  if (pair) return ofPair(...pair.slice(1).map(Number));
  const problem = problemOf(typed);
  if (problem) return { kind: "asked", sentence: problem };
  return {
    kind: "later",
    sentence: say(
      "Kept as typed. This phone reads decimal degrees only; the ledger also reads degrees and minutes, UTM and MGRS, when the find reaches it.",
    ),
  };
}

function ofPair(latitude, longitude) {
  if (Math.abs(latitude) > 90) {
    return asked(say("The first number is beyond 90 degrees. Latitude comes first, then longitude: were the two swapped?"));
  }
  if (Math.abs(longitude) > 180) return asked(say("The second number is beyond 180 degrees, where longitude ends. Check the digits."));
  const [y, x] = [Math.abs(latitude), Math.abs(longitude)];
  const north = latitude < 0 ? say("{n}° south", { n: y }) : say("{n}° north", { n: y });
  const east = longitude < 0 ? say("{n}° west", { n: x }) : say("{n}° east", { n: x });
  return { kind: "read", latitude, longitude, sentence: say("Read as {north}, {east}.", { north, east }) };
}

const asked = (sentence) => ({ kind: "asked", sentence });

/** Why the ledger will not take it, or an empty text where that is not sure. */
function problemOf(typed) {
  const plain = seenOf(typed).replace(AS_MARKS, "'");
  if (!FIGURE.test(plain)) return say("These are words, not coordinates: put them in Place in words.");
  if (COUNTRY_GRID.test(plain)) {
    return say("Grid letters of a country are not read here; use the phone's position, decimal degrees, or UTM/MGRS.");
  }
  if (UTM_WITHOUT_ZONE.test(plain)) {
    return say("This looks like UTM without its zone. Put the zone first, such as 33N 452123 5412345.");
  }
  if (ONE_NUMBER.test(plain)) return say("One number is no place: give latitude, then longitude, such as 51.5074, -0.1278.");
  if (ANY_WORDS.test(plain)) return "";
  const word = plain.match(WORD)?.find((one) => !OF_PLACES.has(one.toLowerCase()));
  if (!word) return "";
  return say("“{word}” is a word, not a coordinate: put words in Place in words, and leave the numbers here.", { word });
}
