// A form opened from a paper slip (/finds/log/?slip=AT-57): the find has the number of the slip, and its finder.
import { getKept } from "../phone/store.js";

/** {code, serial} of that address, or null. */
export function slipOf(search) {
  const found = /^([A-Z]{2,6})-([1-9][0-9]{0,9})$/.exec((new URLSearchParams(search).get("slip") ?? "").toUpperCase());
  return found && { code: found[1], serial: Number(found[2]) };
}

/** Give a new find the number of its slip and, where that is not who types it up, its finder. False: it is unknown whose. */
export async function takeSlip(form, mine, slip, who) {
  const isOwn = slip.code === who?.code;
  const finder = isOwn ? null : (await people()).find(({ code }) => code === slip.code);
  const number = `${slip.code} ${slip.serial}`;
  if (!isOwn && !finder) {
    tell(`This phone does not know whose slip ${number} is. Its number is not filled in.`);
    return false;
  }
  mine.find = { ...mine.find, finder: finder?.id ?? null, memberCode: slip.code, number };
  const box = form.elements.serial;
  box.value = String(slip.serial);
  const fold = box.closest("details");
  if (fold) fold.open = true;
  box.dispatchEvent(new Event("input", { bubbles: true }));
  return true;
}

/** A form that is made anew of a page that came with a slip: the number is that of the find before. */
export function forgetSlip(form) {
  if (!form.elements.slip) return;
  form.elements.slip.remove();
  form.elements.serial.value = "";
}

/** Beside the heading: whose find this is, where it is somebody else's. */
export async function tellFinder({ finder }) {
  const known = finder && (await people()).find(({ id }) => id === finder);
  tell(known ? `Found by ${known.name}` : "");
}

const people = async () => (await getKept("hello"))?.people ?? [];

function tell(text) {
  const next = document.getElementById("log-next");
  const line = document.getElementById("log-finder") ?? Object.assign(document.createElement("p"), { id: "log-finder", className: "soft log-next" });
  line.textContent = text;
  if (text) next?.after(line);
  else line.remove();
}
