// Who is signed in, and what the form needs to know of the club: asked where there is a signal, kept for where there is
// none.
import { HELLO, OWN_FINDS } from "./addresses.js";
import { topUp } from "./number_blocks.js";
import { renewReference } from "./reference.js";
import { changeKept, getKept, replaceOwn, setKept } from "./store.js";

const WAIT_MS = 20_000;

/**
 * Ask the ledger who is signed in. Resolves to {hello, why}: `why` is null, "no signal", "signed out" or "ended" (with
 * `told`, the ledger's own sentences). What was known before is kept where there is no new answer.
 */
export async function hello() {
  const answer = await askWho();
  // Said to the page, where there is one: the menu is drawn for whoever is here now.
  globalThis.document?.dispatchEvent(new Event("hello"));
  return answer;
}

async function askWho() {
  const before = (await getKept("hello")) ?? null;
  let answer;
  try {
    answer = await fetch(HELLO, {
      credentials: "same-origin",
      cache: "no-store",
      headers: { Accept: "application/json" },
      signal: AbortSignal.timeout(WAIT_MS),
    });
  } catch {
    return { hello: before, why: "no signal" };
  }
  const told = await answer.json().catch(() => null);
  if (answer.ok && told?.member) {
    await setKept("hello", { ...told, at: Date.now() });
    await setKept("signed", { why: null, at: Date.now() });
    if (before && before.member !== told.member) await forgetOwn();
    return { hello: told, why: null };
  }
  const why = told?.why ?? "no signal";
  if (why === "no signal") return { hello: before, why, told };
  // A phone that is signed out may be in any hand: what the ledger has goes from it, once.
  if ((await getKept("signed"))?.why !== why) await forgetOwn();
  await setKept("signed", { why, told, at: Date.now() });
  return { hello: before, why, told };
}

/** Where there is a signal: who is signed in, numbers for the next finds, own finds as they stand. Never throws. */
export async function freshen() {
  const greeting = await hello().catch(() => ({ hello: null, why: "no store" }));
  if (greeting.why) return greeting;
  try {
    await topUp(greeting.hello);
    await renewReference(greeting.hello.reference);
    await freshenOwn(greeting.hello);
  } catch {
    // What is kept serves until the next time.
  }
  return greeting;
}

async function freshenOwn({ finds: stamp, member }) {
  const known = await getKept("own-stamp");
  if (stamp && known?.stamp === stamp && known.member === member) return;
  const answer = await fetch(OWN_FINDS, { credentials: "same-origin", signal: AbortSignal.timeout(WAIT_MS) });
  if (!answer.ok) return;
  const { finds, stamp: now } = await answer.json();
  await replaceOwn(finds);
  await setKept("own-stamp", { stamp: now, member });
}

/**
 * Signed out, or somebody else has signed in: what the one before was told by the ledger, and the place of their last
 * log or table, is nobody else's to read. What is being typed and what is in the outbox stay.
 */
async function forgetOwn() {
  await replaceOwn([]);
  for (const name of ["own-stamp", "last-log", "table-ledger", "stocktake"]) await setKept(name, null);
  await changeKept("table", (table) => (table ? { ...table, place: null } : undefined));
}
