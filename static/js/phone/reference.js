// The reference on this phone: fetched when a member is signed in, kept whole, replaced only by another whole one.
import { REFERENCE } from "./addresses.js";
import { sha256 } from "./digest.js";

const CACHE = "ledger-reference";
// As long as the reference may take over a weak line; then it is asked for anew, the next time it is wanted.
const WAIT_MS = 120_000;
const DIGEST = /^\{"digest":"([0-9a-f]{64})",/;

let loaded = null;
let renewing = null;

/** The pack as it is kept here (parsed JSON; `rules/pack.js` makes a reference of it), or null. Parsed once a page. */
export function keptReference() {
  loaded ??= read().catch(() => null);
  return loaded;
}

/**
 * Have the pack with that digest here (`hello.reference`). Resolves to the pack that is then kept: the one before, where
 * the new one could not be fetched whole; null where there is none.
 */
export async function renewReference(digest) {
  const had = await keptReference();
  if (!digest || had?.digest === digest) return had;
  // The form and the greeting ask at the same time: a weak line is asked once.
  renewing ??= fetchWhole(had).finally(() => {
    renewing = null;
  });
  return renewing;
}

async function fetchWhole(had) {
  try {
    const signal = AbortSignal.timeout(WAIT_MS);
    const answer = await fetch(REFERENCE, { credentials: "same-origin", cache: "no-cache", signal });
    if (!answer.ok || answer.redirected) return had;
    const text = await answer.text();
    if (!(await isWhole(text))) return had;
    const cache = await caches.open(CACHE);
    await cache.put(REFERENCE, new Response(text, { headers: { "Content-Type": "application/json" } }));
    const pack = JSON.parse(text);
    loaded = Promise.resolve(pack);
    return pack;
  } catch {
    return had;
  }
}

/** Whether the text has the digest it says it has: SHA-256 of the same JSON without it (ledger/traits/phone_pack.py). */
export async function isWhole(text) {
  const said = DIGEST.exec(text);
  if (!said) return false;
  return (await sha256(`{${text.slice(said[0].length)}`)) === said[1];
}

async function read() {
  const kept = await caches.match(REFERENCE, { cacheName: CACHE });
  return kept ? kept.json() : null;
}
