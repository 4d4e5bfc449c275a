// What was seen on walks, over to the ledger. Nothing is marked as sent before the ledger has said that it has it.
import { hello } from "../phone/hello.js";
import { changeSightings, everySighting } from "./walks.js";

const AT_ONCE = 200;
const WAIT_MS = 30_000;

const isOut = (one) => !one.sent && !one.trouble;

/**
 * Send all that waits. Returns {why, left, told}: why it stopped ("no signal", "signed out", "ended", "somebody else",
 * null where all was tried), how many are left, the ledger's own words where it refused. Never throws for the signal's sake.
 */
export async function sendWalks() {
  if (!globalThis.navigator?.locks) return sendAll();
  return navigator.locks.request("walks", sendAll);
}

async function sendAll() {
  const waiting = (await everySighting()).filter(isOut);
  if (!waiting.length) return { why: null, left: 0 };
  const greeting = await hello();
  if (greeting.why) return { why: greeting.why, left: waiting.length, told: greeting.told };
  const { member, csrf } = greeting.hello;
  const mine = waiting.filter((one) => one.member === member);
  for (const stocktake of new Set(mine.map((one) => one.stocktake))) {
    const out = mine.filter((one) => one.stocktake === stocktake).sort((one, other) => one.at - other.at);
    for (let from = 0; from < out.length; from += AT_ONCE) {
      const stop = await sendSome(stocktake, out.slice(from, from + AT_ONCE), { member, csrf });
      if (stop) return { ...stop, left: await left() };
    }
  }
  const still = await left();
  return { why: still && mine.length < waiting.length ? "somebody else" : null, left: still };
}

const left = async () => (await everySighting()).filter(isOut).length;

async function sendSome(stocktake, some, { member, csrf }) {
  const message = {
    member,
    sent_at: new Date().toISOString(),
    sightings: some.map(({ id, text, place, at, takenBack }) => ({
      id,
      text,
      place,
      at: new Date(at).toISOString(),
      taken_back: takenBack,
    })),
  };
  let answer, told;
  try {
    answer = await fetch(`/stocktake/${stocktake}/sightings`, {
      method: "POST",
      body: JSON.stringify(message),
      credentials: "same-origin",
      cache: "no-store",
      headers: { "Content-Type": "application/json", "X-CSRFToken": csrf },
      signal: AbortSignal.timeout(WAIT_MS),
    });
    told = await answer.json();
  } catch {
    return { why: "no signal" };
  }
  if (answer.ok) {
    await confirm(some, told);
    return null;
  }
  if (answer.status === 409 || answer.status === 404) {
    // Signed off, or gone: it stays on this phone and is said, and does not hold up the rest.
    await changeSightings(
      some.map((one) => one.id),
      (now) => ({ ...now, trouble: told.wrong }),
    );
    return null;
  }
  if (answer.status === 401) return { why: "signed out", told };
  return { why: told.why ?? "refused", told };
}

/** Taken back in the meantime: that goes once more. */
async function confirm(some, told) {
  const taken = new Set(told.taken);
  const was = new Map(some.map((one) => [one.id, one.takenBack]));
  await changeSightings([...was.keys()], (now) => {
    if (taken.has(now.id)) return now.takenBack === was.get(now.id) ? { ...now, sent: true } : null;
    return told.refused?.[now.id] ? { ...now, trouble: told.refused[now.id] } : null;
  });
}
