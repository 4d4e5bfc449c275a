// The find before this one is the same log as often as not: its place, foray, host and wood are a tap away.
import { changeKept, getFind, getKept } from "../phone/store.js";
import { fieldsOfLog, putIn } from "./filling.js";
import { element, rowOf } from "./pieces.js";
import { say } from "../words.js";

// A log is one fallen trunk or stump: after this long the next find is hardly on it.
const SAME_LOG_MS = 3 * 60 * 60 * 1000;

/** Remember what a find that was just kept has in common with the next. */
export const rememberLog = (find) => changeKept("last-log", (last) => lastLog(last, find, Date.now()));

/**
 * The log of the newest find: that of this one, unless a find that was begun later is known already, or this one was
 * only amended. Pure. `now` in ms.
 */
export function lastLog(last, find, now) {
  const fields = fieldsOfLog(find.fields);
  if (last && last.id === find.id) return { ...last, number: find.number, fields };
  if (find.version || (last && (last.madeAt ?? 0) > find.madeAt)) return last ?? undefined;
  return { id: find.id, number: find.number, madeAt: find.madeAt, at: now, fields };
}

/** Offer it in `room`; returns whether there was something to offer. */
export async function offerSameLog(form, room) {
  const last = await getKept("last-log");
  if (!last?.fields.length || Date.now() - last.at > SAME_LOG_MS) return;
  // Its number may have come with the signal.
  const number = (last.id && (await getFind(last.id))?.number) ?? last.number;
  const row = rowOf(
    number
      ? say("Same log as {number}? Place, foray, host and wood are the same then.", { number })
      : say("Same log as the last find?"),
  );
  const take = element("button", say("Same log"), { type: "button", className: "button" });
  take.addEventListener("click", () => {
    putIn(form, last.fields);
    form.dispatchEvent(new Event("input", { bubbles: true }));
    row.remove();
  });
  const no = element("button", say("No"), { type: "button", className: "button button--quiet" });
  no.addEventListener("click", () => row.remove());
  row.append(take, no);
  room.append(row);
}
