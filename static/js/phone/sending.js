// One find, and one photo, over to the ledger. What the ledger confirms is written down at once; nothing is dropped before.
import { say, sayN } from "../words.js";
import { FINDS, photoAddress } from "./addresses.js";
import { contentOf, messageOf, photosOut, withValues } from "./message.js";
import { thisPhone } from "./number_blocks.js";
import { changeFind, getPhoto } from "./store.js";

const CHUNK_BYTES = 256 * 1024;
// What waits for an answer must not wait for ever. The ledger reads a photo whole after its last piece, however small;
// a piece may go over a very weak signal.
const PATIENCE_MS = 20_000;
const PATIENCE_SENDING_MS = 60_000;
const LEAST_BYTES_PER_MS = 4;
const MOST_FROM_THE_START = 3;

// What the ledger calls a photo that it refuses whenever it comes.
const FOR_GOOD = new Set(["refused for good", "too big"]);

/** No answer at all: everything else would meet the same. */
export class NoSignal extends Error {}

/** Why nothing of a member can be sent until somebody has signed in. */
export const NOT_SIGNED_IN = new Set(["signed out", "ended", "somebody else"]);

/** Nobody is signed in, or not this member: `why` is one of NOT_SIGNED_IN. */
export class NotLetIn extends Error {
  constructor(why, told) {
    super(why);
    Object.assign(this, { why, told });
  }
}

/** The ledger stumbled over this one; to be tried again later. `wait` in ms where the ledger said how long. */
export class TryLater extends Error {
  constructor(message, wait = null) {
    super(message);
    this.wait = wait;
  }
}

/**
 * Send one find. Returns its state afterwards. `given`: {csrf, reference, now, signal}. What is typed meanwhile is not
 * confirmed by the answer: the find then waits again.
 */
export async function sendFind(id, given) {
  const find = await changeFind(id, (found) =>
    found && (found.state === "waiting" || found.state === "sending") ? { ...found, state: "sending" } : null,
  );
  if (find?.state !== "sending") return find?.state;
  const message = await messageOf(find, { ...given, phone: await thisPhone(), now: Date.now() });
  const answer = await ask(FINDS, { ...given, type: "application/json", body: JSON.stringify(message) });
  const told = await wordsOf(answer);
  if (answer.ok) {
    if (told.digest !== message.digest) throw new TryLater(say("What the ledger stored is not what was sent."));
    return (await changeFind(id, (now) => now && confirmed(now, find, told), { without: whenWhole }))?.state;
  }
  if (answer.status === 409) return (await changeFind(id, (now) => now && changed(now, told)))?.state;
  if (isRefusal(answer.status, told)) return (await changeFind(id, (now) => now && refused(now, told)))?.state;
  throw laterBy(answer);
}

/** Send what the ledger lacks of one photo. `onBytes(n)` is told of each piece that arrived. */
export async function sendPhoto(find, photo, given, onBytes) {
  const about = { find: find.id };
  let { have, done } = await stateOf(photo, about, given);
  onBytes(done ? photo.bytes : have);
  for (let starts = 0; !done;) {
    const kept = await getPhoto(find.id, photo.sha256);
    if (!kept)
      return mark(find.id, photo, { refused: say("The photo is no longer on this phone: the browser has cleared it.") });
    const piece = kept.blob.slice(have, have + CHUNK_BYTES);
    const address = photoAddress(photo.sha256, { ...about, size: photo.bytes, offset: have, view: photo.view });
    const answer = await ask(address, { ...given, type: "application/octet-stream", body: piece });
    const told = await wordsOf(answer);
    if (answer.ok) {
      if (!told.done && !(told.have > have)) throw new TryLater(say("The ledger took no part of a photo."));
      onBytes(told.have - have);
      ({ have, done } = told);
    } else if (answer.status === 409 && Number.isInteger(told.have)) {
      if ((starts += 1) > MOST_FROM_THE_START) throw new TryLater(say("The ledger and this phone disagree on a photo."));
      onBytes(told.have - have);
      have = told.have;
    } else if (answer.status === 422 && told.why === "bytes differ") {
      if ((starts += 1) > MOST_FROM_THE_START) throw new TryLater(say("A photo arrived damaged, several times."));
      onBytes(-have);
      have = 0;
    } else if (answer.status === 413 || answer.status === 422) {
      // Another page of this phone may have brought it meanwhile: the ledger's own word on the photo goes before.
      ({ have, done } = await stateOf(photo, about, given));
      // What lies with the file itself does not become better by being sent again.
      if (!done) return mark(find.id, photo, { refused: sentenceOf(told), isForGood: FOR_GOOD.has(told.why) });
    } else if (answer.status === 404) {
      return askedAnew(find.id);
    } else {
      throw laterBy(answer);
    }
  }
  return mark(find.id, photo, { confirmed: true });
}

async function stateOf(photo, about, given) {
  const answer = await ask(photoAddress(photo.sha256, about), given);
  if (answer.status === 404) {
    await askedAnew(about.find);
    throw new TryLater(say("The ledger does not have the find of this photo; it is sent again."));
  }
  if (!answer.ok) throw laterBy(answer);
  return wordsOf(answer);
}

/** The ledger has lost a find it had confirmed, such as by a backup put back: it is sent once more. */
const askedAnew = (id) =>
  changeFind(id, (now) => now && { ...now, state: "waiting", onLedger: false, version: null, openedAt: null });

async function ask(address, { csrf, signal, body, type }) {
  let answer;
  try {
    answer = await fetch(address, {
      method: body === undefined ? "GET" : "POST",
      body,
      credentials: "same-origin",
      cache: "no-store",
      headers: body === undefined ? {} : { "Content-Type": type, "X-CSRFToken": csrf },
      signal: either(signal, AbortSignal.timeout(patienceFor(body))),
    });
  } catch (problem) {
    throw new NoSignal("No answer.", { cause: problem });
  }
  if (answer.status !== 401 && answer.status !== 403) return answer;
  const told = await wordsOf(answer);
  throw new NotLetIn(answer.status === 401 ? "signed out" : (told.why ?? "not let in"), told);
}

const patienceFor = (body) =>
  body === undefined ? PATIENCE_MS : PATIENCE_SENDING_MS + (body.size ?? body.length) / LEAST_BYTES_PER_MS;

/**
 * What an answer says; nothing where it is a refusal and not of the ledger's own. One that was cut off half way is no
 * answer, nor is a page that some network puts before everything.
 */
async function wordsOf(answer) {
  try {
    return await answer.json();
  } catch (problem) {
    if (problem instanceof SyntaxError && !answer.ok) return {};
    throw new NoSignal("Half an answer.", { cause: problem });
  }
}

const either = (one, other) => (one && AbortSignal.any ? AbortSignal.any([one, other]) : (one ?? other));

const waitOf = (answer) => 1000 * Number(answer.headers.get("Retry-After")) || null;

const laterBy = (answer) =>
  new TryLater(say("The ledger answered {status}.", { status: answer.status }), waitOf(answer));

/** A find the ledger will not take as it stands. Damage on the way is none: it is sent again. */
const isRefusal = (status, told) => (status === 422 && !["tampered", "unreadable"].includes(told.why)) || status === 413;

const sentenceOf = (told) =>
  told.sentence ??
  told.wrong?.[0]?.sentence ??
  (typeof told.wrong === "string" ? told.wrong : say("The ledger does not take this photo."));

// --- what an answer makes of a find ---

function confirmed(now, sent, told) {
  const here = new Set(Object.keys(told.photos ?? {}).filter((sha256) => told.photos[sha256] === true));
  const find = {
    ...now,
    onLedger: true,
    number: told.number ?? now.number,
    version: told.version ?? now.version,
    openedAt: told.changed_at ?? told.opened_at ?? null,
    status: told.status,
    told: [...saidOf(now, told), ...(told.told ?? [])],
    photos: now.photos.map((photo) => (here.has(photo.sha256) ? { ...photo, confirmed: true } : photo)),
    isTold: false,
    doubts: [],
    tries: 0,
    notBefore: null,
    trouble: null,
    theirs: null,
  };
  // Typed in again while it was on its way: that goes after what was sent, as a change of it.
  find.fields = withValues(now.fields, { version: String(find.version ?? ""), opened_at: find.openedAt ?? "" });
  if (now.state !== "sending") return find;
  if (contentOf(now) !== contentOf(sent)) return { ...find, state: "waiting" };
  return settled({ ...find, state: "confirmed", confirmedAt: Date.now() });
}

/** What the person is told of a find that is on the ledger now: what to write, and what happens next. */
function saidOf(now, { number, status, flags }) {
  if (now.onLedger) return [say("{number} is amended. What stood there before is in its history.", { number })];
  const isTaken = now.fields.some(([name]) => name === "kept");
  const kept = isTaken
    ? say("Kept. Write {number} on the packet.", { number })
    : say("Kept as {number}. No packet: nothing was taken.", { number });
  if (status !== "held" || !flags) return [kept];
  return [
    kept,
    sayN("A curator will look at it: {n} flag below.", "A curator will look at it: {n} flags below.", flags),
  ];
}

const changed = (now, told) =>
  now.state === "sending" ? { ...now, state: "changed", onLedger: true, theirs: told, trouble: null, isTold: false } : null;

function refused(now, told) {
  if (now.state !== "sending") return null;
  const wrong = Array.isArray(told.wrong)
    ? told.wrong
    : [{ sentence: told.wrong ?? say("The ledger does not take this find as it is.") }];
  return { ...now, state: "refused", isTold: false, trouble: { wrong, kept: told.kept ?? "", do: told.do ?? "" } };
}

/** What is known of one photo now. When the last one is confirmed, the originals are let go. */
function mark(id, { sha256 }, known) {
  const change = (now) => {
    if (!now) return null;
    const photos = now.photos.map((photo) => (photo.sha256 === sha256 ? { ...photo, ...known } : photo));
    return settled({ ...now, photos, tries: 0, notBefore: null, trouble: null });
  };
  return changeFind(id, change, { without: whenWhole });
}

const whenWhole = (find) => (isWhole(find) ? find.photos.map((photo) => photo.sha256) : []);

const isWhole = (find) => find.state === "confirmed" && photosOut(find).length === 0;

/** Of a find that is whole on the ledger a small record stays: its number, its name, and when. */
function settled(find) {
  if (!isWhole(find)) return find;
  const keep = ["name_typed", "locality", "found_on"];
  return { ...find, fields: find.fields.filter(([name, value]) => keep.includes(name) && value) };
}
