// The find in the form, as this phone stores it: written with every key, and with every photo in one go.
import { giveBack, take } from "../phone/number_blocks.js";
import { blankFind, laterThan, photosLeft, valueIn } from "../phone/message.js";
import { changeFind, getFind, getKept, listFinds, putFind, removeFind } from "../phone/store.js";
import { holdFind, takeFind } from "./tab_lock.js";

const REST = new Set(["csrfmiddlewaretoken", "do"]);
const VIEW_CHIP = "view-of-";

/** Names and values of everything typed or chosen, in the order of the form. */
export function fieldsOf(form) {
  return [...new FormData(form)].filter(
    ([name, value]) => typeof value === "string" && !REST.has(name) && !name.startsWith(VIEW_CHIP),
  );
}

/**
 * One open form and the find it writes. `onTrouble(problem | null)` is told when it cannot be stored, and when it can
 * again; `onLost()` when another tab has taken the find over.
 */
export class Draft {
  constructor(form, { id, isAmendment, onTrouble, onLost }) {
    Object.assign(this, { form, isAmendment, onTrouble, onLost, isTouched: false, isClosed: false });
    Object.assign(this, { held: null, isElsewhere: false, isGone: false });
    this.find = blankFind({ id }, Date.now());
    // Nobody else writes a find that has never been handed to the outbox.
    this.isOurs = true;
    this.isStored = false;
    this.ready = new Promise((resolve) => {
      this.open = resolve;
    });
  }

  /** Hold the find for this tab; `isTaking` takes it from another one. Returns false where another tab has it. */
  async hold({ isTaking = false } = {}) {
    const mine = await (isTaking ? takeFind : holdFind)(this.find.id, (how) => this.lose(how));
    this.isElsewhere = !mine;
    if (mine) this.held = mine;
    // Left while it was asked for.
    if (this.isGone) this.letGo();
    return Boolean(mine);
  }

  /** Another tab takes it over: the last key is written before it does, unless it has begun to write already. */
  async lose({ isStolen }) {
    if (this.isTouched && !isStolen) await this.write();
    this.close();
    this.onLost();
  }

  letGo() {
    this.held?.letGo();
    this.held = null;
  }

  /** Go on with `found`, and begin to write. `isStored`: it lies in the store as something being typed or waiting. */
  takeUp(found, { untouched, isStored }) {
    if (found) {
      const who = pick(found.member === null ? this.find : found, ["member", "memberName"]);
      const memberCode = found.memberCode ?? (who.member === this.find.member ? this.find.memberCode : undefined);
      this.find = { ...this.find, ...found, ...who, memberCode };
    }
    this.isStored = isStored;
    this.isOurs = this.find.state === "typing" && photosLeft(this.find).length === 0;
    this.untouched = untouched;
    this.open();
    if (this.isTouched) this.write();
  }

  setMember({ member, name, code }) {
    if (this.find.member === member) return;
    const wrongNumber = this.find.member !== null && this.find.serial;
    if (wrongNumber) giveBack(ownerOf(this.find), this.find.serial);
    this.find = { ...this.find, member, memberName: name, memberCode: code };
    if (wrongNumber) this.find = { ...this.find, serial: null, number: null };
    if (this.isTouched) this.write();
  }

  /** Something was typed or chosen. */
  touch() {
    this.isTouched = true;
    this.write();
  }

  get isWorthKeeping() {
    return this.find.photos.length > 0 || JSON.stringify(fieldsOf(this.form)) !== this.untouched;
  }

  /** Have a number of this phone's block, where there is one, once something is stored. Resolves to it as text, or null. */
  async number() {
    const { find } = this;
    if (this.isAmendment || find.number || find.member === null || !this.isStored) return find.number;
    this.numbering ??= take(ownerOf(find)).then((taken) => {
      this.numbering = null;
      if (!taken) return;
      const { code, serial } = taken;
      this.find = { ...this.find, serial, number: `${code} ${serial}`, numberFrom: ownerOf(find) };
    });
    await this.numbering;
    if (this.find.number) this.write();
    return this.find.number;
  }

  /** Write what the form holds now. Writes that come while one is under way are one write after it. */
  write() {
    this.isWanted = true;
    this.writing ??= this.writeAll();
    return this.writing;
  }

  async writeAll() {
    await this.ready;
    while (this.isWanted && !this.isClosed) {
      this.isWanted = false;
      if (!this.isStored && !this.isWorthKeeping) continue;
      try {
        await this.put();
        this.onTrouble(null);
        this.number();
      } catch (problem) {
        this.onTrouble(problem);
      }
    }
    this.writing = null;
  }

  async put(given = {}) {
    this.find = { ...this.find, fields: fieldsOf(this.form), changedAt: laterThan(this.find.changedAt) };
    await (this.isOurs ? putFind(this.find, given) : this.claim(given));
    this.isStored = true;
  }

  /** The outbox may hold it: it is taken back for typing, and what the ledger said meanwhile stays with it. */
  async claim(given) {
    const mine = this.find;
    let was = null;
    const taken = await changeFind(mine.id, (now) => (now ? (was = now) && claimed(now, mine) : mine), given);
    const isFree = was?.state !== "sending" && photosLeft(taken).length === 0;
    this.isOurs = isFree;
    // Typed since: that is newer than what was written.
    this.find = { ...taken, fields: this.find.fields, photos: isFree ? this.find.photos : taken.photos };
  }

  /**
   * The page is being left: what is typed is handed to the browser now, whatever else is under way. Returns whether
   * the store could be asked.
   */
  leave() {
    if (this.isElsewhere || !this.isTouched || this.isClosed || (!this.isStored && !this.isWorthKeeping)) return true;
    this.put().catch(() => {});
    return this.isStored;
  }

  /** Add a photo: bytes and find in one transaction. Throws NoRoom; the find then stands as it was. */
  async addPhoto(about, blob) {
    this.isTouched = true;
    await this.ready;
    const before = this.find.photos;
    this.find = { ...this.find, photos: [...before, { ...about, isKept: false }] };
    try {
      await this.put({ photos: [{ find: this.find.id, sha256: about.sha256, blob }] });
    } catch (problem) {
      this.find = { ...this.find, photos: this.find.photos.filter((photo) => photo.sha256 !== about.sha256) };
      // What was typed meanwhile may have been written with this photo in its list: it is written once more without.
      await this.write();
      throw problem;
    }
  }

  async changePhoto(sha256, given) {
    this.find = {
      ...this.find,
      photos: this.find.photos.map((photo) => (photo.sha256 === sha256 ? { ...photo, ...given } : photo)),
    };
    this.isTouched = true;
    await this.write();
  }

  async removePhoto(sha256) {
    await this.ready;
    this.find = { ...this.find, photos: this.find.photos.filter((photo) => photo.sha256 !== sha256) };
    await this.put({ without: [sha256] });
  }

  /**
   * Hand it to the outbox. `doubts`: what the ledger will not take, [{sentence, anchor}]. Throws NoRoom or NoStore: then
   * it is still being typed.
   */
  async handOver(doubts = []) {
    this.isTouched = true;
    await this.writing;
    this.isClosed = true; // No more writes of something being typed; what comes now is in the last one.
    try {
      await this.put();
      await this.number();
      this.find = await changeFind(this.find.id, (now) => ({ ...this.handedOver(now ?? this.find), doubts }));
    } catch (problem) {
      this.isClosed = false;
      throw problem;
    }
    const typed = Number(valueIn(this.find.fields, "serial"));
    if (typed && this.find.serial && typed !== this.find.serial) await giveBack(ownerOf(this.find), this.find.serial);
    return this.find;
  }

  handedOver(now) {
    const fields = fieldsOf(this.form);
    const typed = valueIn(fields, "serial").trim();
    const isRenumbered = typed && !this.isAmendment && this.find.memberCode;
    return {
      ...now,
      fields,
      serial: this.find.serial,
      number: isRenumbered ? `${this.find.memberCode} ${typed}` : this.find.number,
      state: "waiting",
      photos: now.photos.map((photo) => ({ ...photo, isKept: true })),
      tries: 0,
      notBefore: null,
      trouble: null,
      theirs: null,
    };
  }

  /** The form is opened once more over a find that was handed over. */
  async reopen() {
    const found = await getFind(this.find.id);
    if (found) this.find = found.fields.length ? found : { ...found, fields: this.find.fields };
    this.isOurs = false;
    this.isClosed = false;
    // It stays in the outbox until something is typed.
    this.isTouched = false;
  }

  close() {
    this.isClosed = true;
    this.isGone = true;
    this.letGo();
  }
}

function claimed(now, mine) {
  const said = new Map(now.photos.map((photo) => [photo.sha256, photo.confirmed]));
  const photos = mine.photos.map((photo) => ({ ...photo, confirmed: said.get(photo.sha256) || photo.confirmed }));
  const own = pick(mine, ["fields", "changedAt", "member", "memberName", "memberCode", "number", "serial"]);
  // Opened to amend it, the version this page shows is the one the changes are made against.
  const version = mine.version ? pick(mine, ["version", "openedAt"]) : {};
  return { ...now, ...own, ...version, photos, state: "typing" };
}

/** Whose row of numbers a find's is from: at a foray's table the finder's, not that of the member who keys it in. */
export const ownerOf = (find) => find.numberFrom ?? find.finder ?? find.member;

const pick = (from, names) => Object.fromEntries(names.map((name) => [name, from[name]]));

/** New finds of this member that are still being typed, the latest first. */
export async function unfinished(member) {
  const typing = (await listFinds()).filter((find) => find.state === "typing" && !find.version);
  return typing
    .filter((find) => find.member === member || find.member === null)
    .sort((one, other) => other.changedAt - one.changedAt);
}

/** Let go what was typed and not kept. What the outbox had of the find before stays, its photos too. */
export async function throwAway(id) {
  const found = await getFind(id);
  if (!found) return;
  const isSent = Boolean(found.onLedger);
  const gone = found.photos.filter((photo) => photo.isKept === false).map((photo) => photo.sha256);
  if (isSent) {
    const photos = found.photos.filter((photo) => photo.isKept !== false);
    await changeFind(id, (now) => now && { ...now, photos, state: "confirmed" }, { without: gone });
    return;
  }
  await removeFind(id);
  if (found.serial && found.member !== null) await giveBack(ownerOf(found), found.serial);
}

/** Who this phone believes is at work: {member, name, code} or null where nobody has signed in yet. */
export const whoIsHere = async () => (await getKept("hello")) ?? null;
