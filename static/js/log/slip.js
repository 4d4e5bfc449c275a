// A form opened from a paper slip (/finds/log/?slip=AT-57): the find has the number of the slip, and its finder.
import { findPage } from "../phone/addresses.js";
import { numberInAddress } from "../phone/collecting_number.js";
import { hello as greet } from "../phone/hello.js";
import { valueIn } from "../phone/message.js";
import { getKept, listFinds } from "../phone/store.js";
import { element, rowOf } from "./pieces.js";
import { isOfAnother } from "./whose.js";
import { say } from "../words.js";

/** {code, serial} of that address, or null. */
export function slipOf(search) {
  return numberInAddress(new URLSearchParams(search).get("slip") ?? "");
}

/** The find on this phone that bears the number of that slip, kept or not, or null. `who`: whoever is signed in here. */
export async function findOfSlip(slip, who) {
  const mine = (await listFinds()).filter((find) => !isOfAnother(find, who));
  return mine.filter((find) => isOfSlip(find, slip)).sort((one, other) => isThere(one) - isThere(other))[0] ?? null;
}

const isThere = (find) => find.state === "confirmed";

/** Pure. What was typed into the box of the number goes before the number the find had. */
export function isOfSlip(find, { code, serial }) {
  const typed = valueIn(find.fields, "serial").trim();
  if (typed && !find.onLedger) return find.memberCode === code && typed === String(serial);
  return find.number === `${code} ${serial}`;
}

/** Give a new find the number of its slip and, where that is not who types it up, its finder. False: it is unknown whose. */
export async function takeSlip(form, mine, slip, who) {
  const number = `${slip.code} ${slip.serial}`;
  let whose = await whoseSlip(slip, who);
  // A browser that was never here before knows nobody yet; the ledger does.
  if (!whose && (await greet().catch(() => null))) whose = await whoseSlip(slip, await getKept("hello"));
  if (!whose) {
    form.dataset.slipUnknown = number;
    mine.find = { ...mine.find, slip };
    tell(say("This phone does not know whose slip {number} is, and keeps nothing of it under another number.", { number }));
    return false;
  }
  delete form.dataset.slipUnknown;
  const { finder, name } = whose;
  mine.find = { ...mine.find, slip: null, finder, memberCode: slip.code, number };
  askWhoNamed(form, name);
  const box = form.elements.serial;
  box.value = String(slip.serial);
  const fold = box.closest("details");
  if (fold) fold.open = true;
  box.dispatchEvent(new Event("input", { bubbles: true }));
  return true;
}

/**
 * Who named it stands on the slip: asked in sight, and until somebody says another it is the finder. `name`: empty where that
 * is who types it up.
 */
function askWhoNamed(form, name) {
  const box = form.elements.determiner_name;
  const field = box.closest(".field");
  field.closest("details")?.before(field);
  helpOfNamer(form).textContent = say("Who named it, as the slip says. Empty: you.");
  box.value ||= name;
}

const helpOfNamer = (form) => form.elements.determiner_name.closest(".field").querySelector(".field__help");

/** A form that is made anew of a page that came with a slip: the number is that of the find before. */
export function forgetSlip(form) {
  if (!form.elements.slip) return;
  form.elements.slip.remove();
  form.elements.serial.value = "";
  form.elements.determiner_name.value = "";
  helpOfNamer(form).textContent = say("Empty: you.");
}

/** Its number has a find already, which is on the ledger. */
export function tellSlipIsThere({ code, serial }, find) {
  const number = `${code} ${serial}`;
  const row = rowOf(say("{number} is on the ledger already, so its number is not given again.", { number }));
  row.append(element("a", say("Its page"), { href: findPage(find.id), className: "button" }));
  document.getElementById("unfinished").replaceChildren(row);
}

/** Beside the heading: whose find this is, where it is somebody else's. */
export async function tellFinder({ finder }) {
  const known = finder && (await people()).find(({ id }) => id === finder);
  tell(known ? say("Found by {name}", { name: known.name }) : "");
}

/** {finder, name}: null and empty where it is the slip of whoever types it up; null where nobody here has that code. */
async function whoseSlip({ code }, who) {
  if (code === who?.code) return { finder: null, name: "" };
  const found = (await people()).find((person) => person.code === code);
  return found ? { finder: found.id, name: found.name } : null;
}

const people = async () => (await getKept("hello"))?.people ?? [];

function tell(text) {
  const next = document.getElementById("log-next");
  const line = document.getElementById("log-finder") ?? Object.assign(document.createElement("p"), { id: "log-finder", className: "soft log-next" });
  line.textContent = text;
  if (text) next?.after(line);
  else line.remove();
}
