// What lies on this phone when the form opens: a find half typed is put back or offered, and so is the log of the last one.
import { findPage, OUTBOX } from "../phone/addresses.js";
import { getKept } from "../phone/store.js";
import { throwAway, unfinished } from "./drafts.js";
import { putIn } from "./filling.js";
import { element, twoTaps } from "./pieces.js";
import { valueIn } from "../phone/message.js";

// A log is one fallen trunk or stump: after this long the next find is hardly on it.
const SAME_LOG_MS = 3 * 60 * 60 * 1000;

const room = () => document.getElementById("unfinished");

/** The form holds again what was typed before. `goOn()` opens an empty form. */
export function tellBack(draft, goOn) {
  const row = rowOf(`What you typed at ${timeOf(draft.find)} is back.`);
  row.append(thrower(draft.find.id, draft, goOn));
  room().replaceChildren(row);
}

/** Finds that were begun and not kept. `open(id)` goes on with one of them in this page. */
export async function offerUnfinished(member, open) {
  for (const find of await unfinished(member)) {
    const about = valueIn(find.fields, "name_typed") || valueIn(find.fields, "locality");
    const row = rowOf(`You have an unfinished find from ${timeOf(find)}${about ? ` (${about})` : ""}:`);
    row.append(
      goOnButton(() => open(find.id)),
      thrower(find.id, null, () => row.remove()),
    );
    room().append(row);
  }
}

/** The find before this one is the same log as often as not: its place, foray, host and wood are a tap away. */
export async function offerSameLog(form) {
  const last = await getKept("last-log");
  if (!last?.fields.length || Date.now() - last.at > SAME_LOG_MS) return;
  const row = rowOf(
    last.number
      ? `Same log as ${last.number}? Place, foray, host and wood are the same then.`
      : "Same log as the last find?",
  );
  const take = element("button", "Same log", { type: "button", className: "button" });
  take.addEventListener("click", () => {
    putIn(form, last.fields);
    form.dispatchEvent(new Event("input", { bubbles: true }));
    row.remove();
  });
  const no = element("button", "No", { type: "button", className: "button button--quiet" });
  no.addEventListener("click", () => row.remove());
  row.append(take, no);
  room().append(row);
}

/** This find went to the ledger, or waits in the outbox. */
export function tellState(find) {
  const row = rowOf(STATES[find.state] ?? "");
  if (find.state === "changed")
    row.append(element("a", "Compare and choose", { href: `${OUTBOX}?find=${find.id}`, className: "button" }));
  if (find.onLedger)
    row.append(element("a", "Its page", { href: findPage(find.id), className: "button button--quiet" }));
  if (row.textContent) room().replaceChildren(row);
}

const STATES = {
  waiting: "This find is in the outbox. What you change here goes with it, when you keep it again.",
  sending: "This find is on its way. What you change here goes after it, when you keep it again.",
  changed: "Somebody else changed this find meanwhile.",
};

function rowOf(sentence) {
  const row = element("div", "", { className: "log-unfinished notice notice--doubt" });
  row.append(element("p", sentence));
  return row;
}

function goOnButton(act) {
  const on = element("button", "Go on with it", { type: "button", className: "button" });
  on.addEventListener("click", act);
  return on;
}

function thrower(id, draft, after) {
  const button = element("button", "Throw it away", { type: "button", className: "button button--quiet" });
  twoTaps(button, button, "Tap again: it is gone then", async () => {
    draft?.close();
    await draft?.writing;
    await throwAway(id);
    after();
  });
  return button;
}

function timeOf(find) {
  const at = new Date(find.changedAt);
  const time = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const isToday = at.toDateString() === new Date().toDateString();
  return isToday ? time : `${time} on ${at.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}`;
}
