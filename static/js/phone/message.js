// A find as it is sent, what of it is left to send, and when to try again. Pure: no store, no page, no clock.
import { say, sayN } from "../words.js";
import { digestOf } from "./digest.js";

const FIRST_PAUSE_MS = 2000;
const LONGEST_PAUSE_MS = 600_000;
const JITTER = 0.25;

/** The body of one message. `fields` of the form travel as they were typed. Times are ISO 8601 in UTC. */
export async function messageOf(find, { reference = null, phone = null, now }) {
  const typedSerial = valueIn(find.fields, "serial").trim();
  const message = {
    find: find.id,
    member: find.member,
    version: find.version ?? null,
    opened_at: find.openedAt ?? null,
    made_at: new Date(find.madeAt).toISOString(),
    // The time of the last key tells an older message from a newer one, should one of them lose its way.
    typed_at: new Date(find.changedAt ?? find.madeAt).toISOString(),
    sent_at: new Date(now).toISOString(),
    phone,
    reference,
    finder: find.finder ?? null,
    found_by: find.foundBy ?? "",
    // A number that was written on paper already goes before the one this phone would have given.
    serial: typedSerial ? null : (find.serial ?? null),
    fields: find.fields,
    photos: keptPhotos(find).map(({ sha256, bytes, view }) => ({ sha256, bytes, view })),
  };
  return { ...message, digest: await digestOf(message) };
}

/** A find as it begins on this phone, see store.js. `about`: its id, and whose it is. `at`: ms of this phone's clock. */
export const blankFind = (about, at) => ({
  member: null,
  memberName: "",
  state: "typing",
  fields: [],
  photos: [],
  version: null,
  openedAt: null,
  number: null,
  serial: null,
  numberFrom: null,
  finder: null,
  foundBy: "",
  madeAt: at,
  changedAt: at,
  tries: 0,
  notBefore: null,
  trouble: null,
  ...about,
});

/** The time of a key: never before the last one, should the phone's clock be set back in between. */
export const laterThan = (before, now = Date.now()) => Math.max(now, (before ?? 0) + 1);

/** What two states of one find must share for the ledger's word on the one to hold for the other. */
export const contentOf = (find) =>
  JSON.stringify([
    find.fields,
    find.finder ?? null,
    find.foundBy ?? "",
    keptPhotos(find).map((photo) => [photo.sha256, photo.view]),
  ]);

/** Photos that were handed over with their find: not those added since, while it is being typed in again. */
export const keptPhotos = (find) => find.photos.filter((photo) => photo.isKept !== false);

/** Photos the ledger has not confirmed and has not refused. */
export const photosLeft = (find) => keptPhotos(find).filter((photo) => !photo.confirmed && !photo.refused);

/** The find itself is to be sent. One marked as being sent was left so by a browser that died. */
export const findIsLeft = (find) => find.state === "waiting" || find.state === "sending";

/** Its photos can go only when the ledger has the find. */
export const photosCanGo = (find) => Boolean(find.onLedger) && !findIsLeft(find) && photosLeft(find).length > 0;

export const isLeft = (find) => findIsLeft(find) || photosCanGo(find);

/** Everything that is not on the ledger as it stands here: what the outbox lists. */
export const isInOutbox = (find) =>
  find.state !== "typing" && (find.state !== "confirmed" || photosOut(find).length > 0);

/** Photos that are not on the ledger, refused ones too: they are on this phone only. */
export const photosOut = (find) => keptPhotos(find).filter((photo) => !photo.confirmed);

/** Finds, photos and bytes that are left to send. A find's own words count as they are written. */
export function leftOf(finds) {
  const left = finds.filter(isLeft);
  let bytes = 0;
  let photos = 0;
  for (const find of left) {
    if (findIsLeft(find)) bytes += JSON.stringify(find.fields).length;
    for (const photo of photosLeft(find)) bytes += photo.bytes;
    photos += photosLeft(find).length;
  }
  return { finds: left.length, bytes, photos };
}

/** "Sending AT 7: 3 finds left, 12 MB. 63 of 200 photos sent." `size`: the bytes that are left, in words. */
export function sendingWords({ finds, sentPhotos, allPhotos, number, size }) {
  const words = number
    ? sayN("Sending {number}: {n} find left, {size}.", "Sending {number}: {n} finds left, {size}.", finds, { number, size })
    : sayN("Sending: {n} find left, {size}.", "Sending: {n} finds left, {size}.", finds, { size });
  if (allPhotos <= 1) return words;
  const photos = say("{sent} of {all} photos sent.", { sent: sentPhotos, all: allPhotos });
  return `${words} ${photos}`;
}

/** How long to wait after the nth failure in a row: 2 s, doubled each time, at most 10 min, each up to a quarter off. */
export function pauseAfter(tries, chance = Math.random()) {
  const pause = Math.min(LONGEST_PAUSE_MS, FIRST_PAUSE_MS * 2 ** Math.max(0, tries - 1));
  return Math.round(pause * (1 - JITTER + 2 * JITTER * chance));
}

/** A pause longer than any we make comes from a clock that was set back: it counts as over. */
export const isDue = (find, now) =>
  !find.notBefore || find.notBefore <= now || find.notBefore > now + LONGEST_PAUSE_MS * (1 + JITTER);

export const valueIn = (fields, name) => fields.find(([field]) => field === name)?.[1] ?? "";

/** Who changed a find meanwhile, by the ledger's answer: "You changed AT 7 meanwhile, on another phone or page". */
export const changedWords = (theirs, what) =>
  theirs?.by_you
    ? say("You changed {find} meanwhile, on another phone or page", { find: what })
    : say("Somebody else changed {find} meanwhile", { find: what });

/** The fields with some replaced; those that are not there yet are added. */
export function withValues(fields, given) {
  const left = { ...given };
  const changed = fields.map(([name, value]) => {
    if (!(name in left)) return [name, value];
    const put = left[name];
    delete left[name];
    return [name, put];
  });
  return [...changed, ...Object.entries(left)];
}
