// The outbox: finds on this phone that the ledger has not confirmed. Sent one find after another, each followed by its
// photos piece by piece. Pages and the service worker call the same; only one of them sends at a time.
import { say } from "../words.js";
import { freshen, hello } from "./hello.js";
import { findIsLeft, isDue, isLeft, leftOf, pauseAfter, photosCanGo, photosLeft } from "./message.js";
import { NoSignal, NOT_SIGNED_IN, NotLetIn, sendFind, sendPhoto, TryLater } from "./sending.js";
import { changeFind, getFind, listFinds, removeFind } from "./store.js";

export const CHANNEL = "outbox";
const LOCK = "outbox";
// How many small records of confirmed finds stay to be shown.
const RECORDS = 50;
// What is due and was left all the same, as where the store of this phone failed.
const LOOK_AGAIN_MS = 30_000;

/**
 * Send all that is due. `onProgress({finds, bytes, total, sentPhotos, allPhotos, current, why})`: finds and bytes left,
 * bytes there were, photos sent and photos there were, the find under way. `isPressing` tries at once what waits for its pause to end: all of it (true), the find of that id, or
 * what only lacked a signal ("opened"). Returns {why, left, isSent}: why it stopped ("no signal", "signed out", "ended",
 * "somebody else", "stopped"; null where everything due was tried), what is left, and whether anything went. Never
 * throws for what the signal does.
 */
export async function sendAll({ onProgress = () => {}, signal = undefined, isPressing = false } = {}) {
  const run = () => new Run({ onProgress, signal, isPressing }).all();
  if (!globalThis.navigator?.locks) return run();
  try {
    return await navigator.locks.request(LOCK, { signal }, run);
  } catch (problem) {
    if (problem.name === "AbortError") return { why: "stopped", left: null, isSent: false };
    throw problem;
  }
}

class Run {
  constructor({ onProgress, signal, isPressing }) {
    Object.assign(this, { onProgress, signal, isPressing });
    this.channel = globalThis.BroadcastChannel ? new BroadcastChannel(CHANNEL) : null;
    this.tried = new Set();
    this.sent = 0;
    this.sentPhotos = 0;
    this.current = null;
  }

  async all() {
    try {
      const finds = await listFinds();
      if (!finds.some(isLeft)) return await this.end(null);
      const greeting = await hello();
      if (greeting.why === "no signal") await this.pauseAll(greeting.hello?.member);
      if (greeting.why) return await this.end(greeting.why);
      this.member = greeting.hello.member;
      this.given = { csrf: greeting.hello.csrf, reference: greeting.hello.reference ?? null, signal: this.signal };
      await this.tell();
      // Asked anew each time: what is kept while others are on their way goes in the same run.
      for (let find = await this.next(); find; find = await this.next()) {
        this.tried.add(find.id);
        const why = await this.one(find.id);
        if (why) return await this.end(why);
      }
      return await this.end(null);
    } finally {
      // Whoever was told that a find is under way is told that it no longer is, whatever happened.
      if (this.current) {
        this.current = null;
        this.tellNow({ ...this.left, why: "stopped" });
      }
      this.channel?.close();
    }
  }

  async due(member) {
    const now = Date.now();
    const isPressed = (find) =>
      this.isPressing === true || this.isPressing === find.id || (this.isPressing === "opened" && !find.trouble);
    return (await listFinds(member)).filter((find) => isLeft(find) && (isPressed(find) || isDue(find, now)));
  }

  async next() {
    const due = (await this.due(this.member)).filter((find) => !this.tried.has(find.id));
    return due.find((find) => find.id === this.isPressing) ?? due[0];
  }

  /** Send one find and its photos. Returns why the whole run must stop, or null. */
  async one(id) {
    try {
      for (let again = true; again;) again = await this.pass(id);
      return null;
    } catch (problem) {
      if (this.signal?.aborted) return "stopped";
      if (problem instanceof NotLetIn) return this.notLetIn(id, problem);
      const isOfTheWay = problem instanceof NoSignal || problem instanceof TryLater;
      // One that cannot be read, as after the browser was ended in the middle of writing, must not hold up the others.
      await this.pause(id, isOfTheWay ? problem : new TryLater(unread(problem)));
      return problem instanceof NoSignal ? "no signal" : null;
    }
  }

  /** Returns whether it was changed while it was on its way and goes once more. */
  async pass(id) {
    const find = await getFind(id);
    if (!find) return false;
    this.current = { id, number: find.number };
    await this.tell();
    if (findIsLeft(find)) {
      const state = await this.withFreshMark(() => sendFind(id, this.given));
      this.sent += JSON.stringify(find.fields).length;
      if (state === "waiting") return true;
    }
    let known = await getFind(id);
    while (known && photosCanGo(known)) {
      const [photo] = photosLeft(known);
      const before = this.sent;
      await this.withFreshMark(() =>
        sendPhoto(known, photo, this.given, (bytes) => {
          this.sent += bytes;
          this.tellOf(known, photo, this.sent - before);
        }),
      );
      this.sent = before + photo.bytes;
      known = await getFind(id);
      if (known?.photos.some((one) => one.sha256 === photo.sha256 && one.confirmed)) this.sentPhotos += 1;
      await this.tell();
    }
    return Boolean(known) && findIsLeft(known);
  }

  /** Signed in anew in another tab, the mark against forgery is another one: it is asked for, and sent once more. */
  async withFreshMark(send) {
    try {
      return await send();
    } catch (problem) {
      if (!(problem instanceof NotLetIn) || problem.why === "ended") throw problem;
      const greeting = await hello();
      if (greeting.why === "no signal") throw new NoSignal("No answer.");
      if (greeting.why) throw new NotLetIn(greeting.why, greeting.told);
      if (greeting.hello.member !== this.member) throw new NotLetIn("somebody else");
      this.given.csrf = greeting.hello.csrf;
      return send();
    }
  }

  async notLetIn(id, problem) {
    await this.free(id);
    if (NOT_SIGNED_IN.has(problem.why)) return problem.why;
    // Signed in, and still not let in: this one find is none that this member may change.
    const wrong = problem.told?.wrong ?? say("The ledger does not let you change this find.");
    await this.pause(id, new TryLater(typeof wrong === "string" ? wrong : wrong[0]?.sentence));
    return null;
  }

  /** Nobody answered at all: everything that was to go waits, longer each time. */
  async pauseAll(member) {
    for (const find of await this.due(member)) await this.pause(find.id, new NoSignal("No answer."));
  }

  async pause(id, problem) {
    await changeFind(id, (find) => {
      if (!find) return null;
      const tries = (find.tries ?? 0) + 1;
      return {
        ...find,
        state: find.state === "sending" ? "waiting" : find.state,
        tries,
        notBefore: Date.now() + Math.max(pauseAfter(tries), problem.wait ?? 0),
        trouble: problem instanceof NoSignal ? null : { wrong: [{ sentence: problem.message }] },
      };
    });
  }

  free(id) {
    return changeFind(id, (find) => (find?.state === "sending" ? { ...find, state: "waiting" } : null));
  }

  async end(why) {
    this.current = null;
    await this.forgetOld();
    const left = await this.tell(why);
    return { why, left, isSent: this.sent > 0 };
  }

  /** Small records of finds that are whole on the ledger do not pile up. */
  async forgetOld() {
    const whole = (await listFinds()).filter(
      (find) => find.state === "confirmed" && !isLeft(find) && !find.photos.some((photo) => photo.refused),
    );
    whole.sort((one, other) => (other.confirmedAt ?? 0) - (one.confirmedAt ?? 0));
    for (const find of whole.slice(RECORDS)) await removeFind(find.id);
  }

  async tell(why = undefined) {
    const finds = (await listFinds(this.member)).filter((find) => this.member !== undefined || isLeft(find));
    this.left = leftOf(finds);
    this.tellNow({ ...this.left, why });
    return this.left;
  }

  /** Between two readings of the store: what of one photo has arrived. */
  tellOf(find, photo, arrived) {
    this.tellNow({ ...this.left, bytes: Math.max(0, this.left.bytes - arrived), photo: photo.name });
  }

  tellNow({ finds, photos, bytes, why, photo }) {
    this.total = Math.max(this.total ?? 0, this.sent + bytes);
    this.allPhotos = Math.max(this.allPhotos ?? 0, this.sentPhotos + photos);
    const { total, sentPhotos, allPhotos } = this;
    const told = { finds, bytes, total, sentPhotos, allPhotos, current: this.current && { ...this.current, photo }, why };
    this.onProgress(told);
    this.channel?.postMessage(told);
  }
}

const unread = ({ name, message }) =>
  say("This phone could not read what it holds of the find ({why}). It is tried again by itself.", { why: message || name });

// --- for pages ---

/** Whether a page or the worker is sending now; null where the browser does not say. */
export async function isSendingAnywhere() {
  const { held } = (await globalThis.navigator?.locks?.query()) ?? {};
  return held ? held.some(({ name }) => name === LOCK) : null;
}

/** Ask the browser to send in the background when there is a signal, where it can. */
export async function askForBackground() {
  try {
    const worker = await navigator.serviceWorker?.getRegistration();
    await worker?.sync?.register("outbox");
  } catch {
    // Not allowed, or not known here: it is sent while a page is open.
  }
}

/**
 * Keep sending while this page is open: now, when the signal comes back, when the page is looked at again, and when a
 * pause is over. Returns a function that sends at once, whatever the pauses say.
 */
export function keepSending({ onProgress } = {}) {
  let timer = 0;
  const send = async (isPressing = false) => {
    clearTimeout(timer);
    const result = await sendAll({ onProgress, isPressing }).catch((problem) => ({ why: problem.name, left: null }));
    await setTimer(result.why);
    // Own finds as the ledger has them now can be amended where the signal ends again.
    if (result.isSent) freshen();
    return result;
  };
  async function setTimer(why) {
    clearTimeout(timer);
    if (NOT_SIGNED_IN.has(why)) return;
    const left = (await listFinds().catch(() => [])).filter(isLeft);
    const now = Date.now();
    const pauses = left.map(({ notBefore }) => (notBefore > now ? notBefore - now + 50 : LOOK_AGAIN_MS));
    if (left.length) timer = setTimeout(() => navigator.onLine && send(), Math.min(...pauses));
  }
  addEventListener("online", () => send(true));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible" && navigator.onLine) send("opened");
  });
  if (navigator.onLine) send("opened");
  return send;
}
