// What lies on this phone when the form opens: a find half typed is put back or offered.
import { findPage, OUTBOX } from "../phone/addresses.js";
import { changedWords, valueIn } from "../phone/message.js";
import { throwAway, unfinished } from "./drafts.js";
import { element, rowOf, twoTaps } from "./pieces.js";
import { offerSameLog } from "./same_log.js";
import { holdFind } from "./tab_lock.js";
import { say, sayN } from "../words.js";

const room = () => document.getElementById("unfinished");

/** The form holds again what was typed before. `goOn()` opens an empty form. */
export function tellBack(draft, goOn) {
  const row = rowOf(say("What you typed at {time} is back.", { time: timeOf(draft.find) }));
  row.append(thrower(draft.find.id, draft, goOn));
  room().replaceChildren(row);
}

/**
 * What a new form can begin with: finds that `member` began and did not keep, but for the one in the form (`here`), and
 * the log of the last. `open(id)` goes on with one.
 */
export async function offerWhatLies(form, { member, here, open }) {
  const begun = (await unfinished(member)).filter(({ id }) => id !== here);
  room().replaceChildren();
  for (const find of begun) {
    const row = rowOf(unfinishedWords(find, timeOf(find)));
    row.append(
      goOnButton(() => open(find.id)),
      thrower(find.id, null, () => row.remove()),
    );
    room().append(row);
  }
  await offerSameLog(form, room());
}

/** One sentence that tells a find that was begun from another: when, its number, its name or place, its photos. Pure. */
export function unfinishedWords({ fields, number, photos }, time) {
  const about = [number, valueIn(fields, "name_typed") || valueIn(fields, "locality")].filter(Boolean).join(", ");
  const values = { time, about };
  if (!photos.length) {
    return about
      ? say("You have an unfinished find from {time}: {about}.", values)
      : say("You have an unfinished find from {time}, without a name or a place so far.", values);
  }
  return about
    ? sayN(
        "You have an unfinished find from {time}: {about} with {n} photo.",
        "You have an unfinished find from {time}: {about} with {n} photos.",
        photos.length,
        values,
      )
    : sayN(
        "You have an unfinished find from {time}, without a name or a place so far with {n} photo.",
        "You have an unfinished find from {time}, without a name or a place so far with {n} photos.",
        photos.length,
        values,
      );
}

/** This find is on the ledger, or waits in the outbox. */
export function tellState(find) {
  const state = find.state === "changed" ? `${changedWords(find.theirs, say("this find"))}.` : STATES[find.state];
  if (!state) return;
  const row = rowOf(state);
  if (find.state === "changed")
    row.append(element("a", say("Compare and choose"), { href: `${OUTBOX}?find=${find.id}`, className: "button" }));
  if (find.onLedger)
    row.append(element("a", say("Its page"), { href: findPage(find.id), className: "button button--quiet" }));
  room().replaceChildren(row);
}

const STATES = {
  waiting: say("This find is in the outbox. What you change here goes with it, when you keep it again."),
  sending: say("This find is on its way. What you change here goes after it, when you keep it again."),
  confirmed: say("This find is on the ledger. It stands here as the ledger had it when there was a signal last."),
};

function goOnButton(act) {
  const on = element("button", say("Go on with it"), { type: "button", className: "button" });
  on.addEventListener("click", act);
  return on;
}

function thrower(id, draft, after) {
  const button = element("button", say("Throw it away"), { type: "button", className: "button button--quiet" });
  twoTaps(button, button, say("Tap again: it is gone then"), async () => {
    draft?.close();
    await draft?.writing;
    const held = await holdFind(id, () => {});
    if (!held) {
      button.textContent = say("It is open in another tab");
      return;
    }
    await throwAway(id);
    held.letGo();
    after();
  });
  return button;
}

function timeOf(find) {
  const at = new Date(find.changedAt);
  const time = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  const isToday = at.toDateString() === new Date().toDateString();
  if (isToday) return time;
  const day = at.toLocaleDateString(document.documentElement.lang, { day: "numeric", month: "long" });
  return say("{time} on {day}", { time, day });
}
