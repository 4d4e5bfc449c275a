// The reference on this phone: fetched when a member is signed in, kept whole, replaced only by another whole one.

const CACHE = "ledger-reference";
const ADDRESS = "/phone/reference.json";

let loaded = null;

/** The pack as it is kept here, or null. Parsed once for each page. */
export function keptReference() {
  loaded ??= read().catch(() => null);
  return loaded;
}

/**
 * Have the pack with that digest here (`hello.reference`; without one, whichever the ledger holds now). Resolves to the
 * pack that is then kept, which is the old one where the new one could not be fetched whole; null where there is none.
 */
export async function renewReference(digest) {
  const had = await keptReference();
  if (had && had.digest === digest) return had;
  try {
    const answer = await fetch(ADDRESS, { credentials: "same-origin", cache: "no-cache" });
    if (!answer.ok || answer.redirected) return had;
    // Text first: a pack that was cut off is no JSON, and one without its digest is none at all.
    const text = await answer.text();
    const pack = JSON.parse(text);
    if (!pack.digest || (digest && pack.digest !== digest)) return had;
    const cache = await caches.open(CACHE);
    await cache.put(ADDRESS, new Response(text, { headers: { "Content-Type": "application/json" } }));
    loaded = Promise.resolve(pack);
    return pack;
  } catch {
    return had;
  }
}

async function read() {
  const kept = await caches.match(ADDRESS, { cacheName: CACHE });
  return kept ? kept.json() : null;
}
