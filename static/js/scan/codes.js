// What a code of the collection names, scanned or typed: vouchers/codes.py said again for the phone without a signal.
// Pure; tests/vouchers/scan/test_codes_js.py holds the two against one another.

const LETTERS = "DSPTW"; // a kind of part each; the first packet has none
const NUMBER = /^(?:([A-Z]{2,8})[ -]*)?([0-9]{4})[ /-]+([0-9]{1,6})(?:[ /-]*([A-Z])[ -]?0*([0-9]{1,3}))?$/;
const PLACE_OR_TRAY = /^(?:([A-Z]{2,8})[ -]+)?(PLACE|PLATZ|TRAY)[ .-]*0*([0-9]{1,6})$/;
const STROKES = /[‐‑‒–—―−﹣－_]/g;

const words = (text) => text.split(/\s+/).filter(Boolean).join(" ");
const unknown = (text) => ({ kind: "unknown", text: [...words(text)].slice(0, 60).join("") });

/**
 * `prefixes`: all the club ever had, today's first. Returns {kind, text}: kind is "part" (the first packet's number has no
 * suffix), "place", "tray", "foreign" (another collection's) or "unknown"; `text` is the code as it is printed. A place
 * has its `number` too.
 */
export function readCode(text, prefixes) {
  const typed = words(text.replace(STROKES, "-").toUpperCase());
  const ours = (code, prefix) => (prefixes.includes(prefix) ? code : { kind: "foreign", text: code.text });
  const place = PLACE_OR_TRAY.exec(typed);
  if (place) {
    const [, given, called, digits] = place;
    const what = called === "PLATZ" ? "PLACE" : called;
    const prefix = given ?? prefixes[0];
    const number = Number(digits);
    if (!number) return unknown(text);
    return ours({ kind: what.toLowerCase(), text: `${prefix} ${what} ${number}`, number }, prefix);
  }
  const found = NUMBER.exec(typed);
  if (!found || !Number(found[3]) || (found[4] && !Number(found[5]))) return unknown(text);
  const prefix = found[1] ?? prefixes[0];
  const bare = `${prefix} ${found[2]}-${String(Number(found[3])).padStart(4, "0")}`;
  if (!found[4]) return ours({ kind: "part", text: bare }, prefix);
  if (!LETTERS.includes(found[4])) return unknown(text);
  return ours({ kind: "part", text: `${bare} ${found[4]}${Number(found[5])}` }, prefix);
}
