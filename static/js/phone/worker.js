// The service worker: keeps the pages of one release whole, answers from them where there is no signal, and sends what
// is in the outbox. It never takes a newer release by itself: it keeps it ready until somebody taps "Take it". Until
// then, also after the browser was closed, the pages come from the release that was taken last.
//
// `plan` (ledger/phone/kept_pages.py): {release, language, pages: {address: SHA-256}, files: [addresses], answers: {path: address},
// no_signal, static, hashed}.
import { LOG } from "./addresses.js";
import { numberInAddress } from "./collecting_number.js";
import { sendAll } from "./outbox.js";
import { POCKET } from "./pocket_store.js";

const FORM = "ledger-form-"; // one cache for each release
const CHOICE = "ledger-choice"; // holds the name of the release that was taken
const CHOSEN = "/phone/release-taken"; // never fetched: the key in that cache
const CHOSEN_LANGUAGE = "/phone/language-taken"; // likewise: the language of that release's pages

export function serve(plan) {
  self.addEventListener("install", (event) => event.waitUntil(fill(plan)));
  self.addEventListener("activate", (event) => event.waitUntil(begin(plan)));
  self.addEventListener("fetch", (event) => {
    const answer = answerTo(plan, event.request);
    if (answer) event.respondWith(answer);
  });
  self.addEventListener("sync", (event) => {
    if (event.tag === "outbox") event.waitUntil(send(plan));
  });
  const told = {
    release: async () => ({ own: plan.release, language: plan.language, taken: await taken(), takenLanguage: await takenLanguage() }),
    take: () => take(plan),
    send: () => send(plan),
  };
  self.addEventListener("message", (event) => {
    const work = told[event.data?.kind];
    if (!work) return;
    const answer = (said) => event.ports[0]?.postMessage(said);
    event.waitUntil(work().then((said) => answer({ ok: true, ...said }), (problem) => answer({ ok: false, problem: String(problem) })));
  });
}

async function send(plan) {
  // The store on this phone belongs to the release that was taken; a newer worker leaves it to that one's pages.
  if ((await taken()) !== plan.release) return;
  const { why } = await sendAll();
  // An error has the browser try again by itself when the signal is back.
  if (why === "no signal") throw new Error("No signal: not all was sent.");
}

// --- the release ---

/** Fetch all of the release. What an earlier attempt brought is not fetched twice; anything amiss is an error. */
async function fill(plan) {
  const cache = await caches.open(FORM + plan.release);
  await Promise.all(plan.files.map((address) => fillFile(plan, cache, address)));
  await Promise.all(Object.entries(plan.pages).map(([address, sha256]) => fillPage(plan, cache, address, sha256)));
}

async function fillFile(plan, cache, address) {
  const had = plan.hashed && (await caches.match(address, { ignoreVary: true }));
  if (had) return cache.put(address, had);
  const answer = await fetch(address, { cache: plan.hashed ? "default" : "no-cache", credentials: "same-origin" });
  if (!answer.ok || answer.redirected) throw new Error(`${address} answered ${answer.status}.`);
  return cache.put(address, answer);
}

async function fillPage(plan, cache, address, sha256) {
  const answer = await fetch(`${address}?language=${plan.language}`, { cache: "no-cache", credentials: "omit" });
  if (!answer.ok || answer.redirected) throw new Error(`${address} answered ${answer.status}.`);
  const digest = await crypto.subtle.digest("SHA-256", await answer.clone().arrayBuffer());
  const hex = [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  if (hex !== sha256) throw new Error(`${address} is of another release, or was cut off.`);
  return cache.put(address, answer);
}

async function isWhole(plan) {
  if (!(await caches.has(FORM + plan.release))) return false;
  const cache = await caches.open(FORM + plan.release);
  const there = new Set((await cache.keys()).map((request) => new URL(request.url).pathname));
  return [...plan.files, ...Object.keys(plan.pages)].every((address) => there.has(address));
}

/** The first release is taken at once; a later one waits. Releases that are neither ready nor taken are cleared away. */
async function begin(plan) {
  let now = await taken();
  const isFirst = !now || !(await caches.has(FORM + now));
  if (isFirst) await choose(plan);
  now = isFirst ? plan.release : now;
  for (const name of await caches.keys()) {
    if (name.startsWith(FORM) && name !== FORM + plan.release && name !== FORM + now) await caches.delete(name);
  }
  if (isFirst) await self.clients.claim();
}

async function take(plan) {
  if (!(await isWhole(plan))) await fill(plan);
  await choose(plan);
  await self.skipWaiting();
  return { taken: plan.release };
}

async function taken() {
  const kept = await caches.match(CHOSEN, { cacheName: CHOICE });
  return kept ? kept.text() : null;
}

async function takenLanguage() {
  const kept = await caches.match(CHOSEN_LANGUAGE, { cacheName: CHOICE });
  return kept ? kept.text() : null;
}

async function choose(plan) {
  const cache = await caches.open(CHOICE);
  await cache.put(CHOSEN_LANGUAGE, new Response(plan.language));
  await cache.put(CHOSEN, new Response(plan.release));
}

// --- what is asked for ---

function answerTo(plan, request) {
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return null;
  if (request.mode === "navigate") {
    const page = plan.answers[url.pathname] ?? (url.pathname in plan.pages ? url.pathname : null);
    return page ? keptPage(plan, page, request) : fromLedger(plan, request);
  }
  return url.pathname.startsWith(plan.static) ? file(plan, request) : null;
}

async function keptPage(plan, address, request) {
  return (await kept(address)) ?? fromLedger(plan, request);
}

async function fromLedger(plan, request) {
  try {
    return await fetch(request);
  } catch (problem) {
    const page = fromSlip(request) ?? (await pocketed(request)) ?? (await kept(plan.no_signal));
    if (page) return page;
    throw problem;
  }
}

/** A file whose name changes with its content is as good from the cache as from the ledger, whatever the release. */
async function file(plan, request) {
  if (plan.hashed) return (await caches.match(request, { ignoreVary: true })) ?? fetch(request);
  try {
    return await fetch(request);
  } catch (problem) {
    const had = (await kept(new URL(request.url).pathname)) ?? (await pocketed(request));
    if (had) return had;
    throw problem;
  }
}

/** The code of a paper slip, read where there is no signal, opens the form with its number all the same. */
function fromSlip(request) {
  const path = new URL(request.url).pathname;
  const number = path.startsWith("/q/") ? numberInAddress(path.slice("/q/".length)) : null;
  return number && Response.redirect(`${LOG}?slip=${number.code}-${number.serial}`);
}

/** A pocket sheet that somebody keeps on this phone, or a file of it. */
const pocketed = (request) => caches.match(request, { cacheName: POCKET, ignoreVary: true });

async function kept(address) {
  return caches.match(address, { cacheName: FORM + (await taken()), ignoreVary: true });
}
