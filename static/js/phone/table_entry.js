// The find that is being keyed in at the table: written with every key, numbered from its finder's block, handed to the
// outbox at Next. An ordinary find of the store, with `table` {foray, day, finder, namer} beside it.
import { holdFind } from "../log/tab_lock.js";
import { blankFind, laterThan } from "./message.js";
import { giveBack, take } from "./number_blocks.js";
import { changeFind, getFind } from "./store.js";
import { fieldsOf, isWorthKeeping, numberOf } from "./table_day.js";

const begun = (who, at) =>
  blankFind({ id: crypto.randomUUID(), member: who.member, memberName: who.name, memberCode: who.code }, at);

const listOf = ({ foray, day }) => ({ foray: foray ?? null, day });

/**
 * `onTrouble(problem | null)` is told when it cannot be stored, and when it can again; `onLost(entry)` when another tab has
 * taken the find over.
 */
export class Entry {
  constructor(who, { onTrouble, onLost }) {
    Object.assign(this, { who, onTrouble, onLost, find: begun(who, Date.now()), isNew: true, isTouched: false });
    Object.assign(this, { given: null, held: null, isGone: false });
  }

  /** A find of the store to go on with or to correct; null where it is not here, or is not to be changed here. */
  static async over(id, who, told) {
    const found = await getFind(id);
    const isOpen = found && ["typing", "waiting", "sending", "refused"].includes(found.state);
    if (!isOpen || found.member !== who.member) return null;
    const entry = new Entry(who, told);
    entry.find = found;
    entry.before = found;
    entry.isNew = found.state === "typing" && !found.onLedger;
    return entry;
  }

  /** Have it for this tab alone. False where another tab has it. */
  async hold() {
    this.held = await holdFind(this.find.id, ({ isStolen }) => this.lose({ isStolen }));
    if (this.isGone) this.letGo();
    return Boolean(this.held);
  }

  letGo() {
    this.isGone = true;
    this.held?.letGo();
    this.held = null;
  }

  /** The last key is written before the other tab has it, unless it has begun to write already. */
  async lose({ isStolen }) {
    if (!isStolen) await this.writing;
    this.isGone = true;
    await this.onLost(this);
  }

  /** `given`: {typed, finder, namer, table}; finder and namer are people or null. */
  touch(given) {
    if (this.isGone) return null;
    this.given = given;
    this.isTouched = true;
    this.isWanted = true;
    this.writing ??= this.writeAll().finally(() => {
      this.writing = null;
    });
    return this.writing;
  }

  async writeAll() {
    while (this.isWanted) {
      this.isWanted = false;
      try {
        // A number that is on a slip already is changed by Keep only, not by a finger on the way.
        if (this.isNew) await this.number();
        await this.put();
        this.onTrouble(null);
      } catch (problem) {
        this.onTrouble(problem);
      }
    }
  }

  async put() {
    this.find = await changeFind(this.find.id, (now) => this.composed(now ?? this.find));
  }

  composed(now) {
    const { typed, finder, namer, table } = this.given;
    const find = {
      ...now,
      fields: fieldsOf(
        { id: now.id, typed, namer, holder: this.who.member, table, offsetMinutes: -new Date().getTimezoneOffset() },
        now.fields,
      ),
      number: this.find.number,
      serial: this.find.serial,
      numberFrom: this.find.numberFrom,
      // A find that is corrected stays in the list it is in, whatever is chosen for the next ones.
      table: { ...(this.isNew || !now.table ? listOf(table) : now.table), finder, namer },
      changedAt: laterThan(now.changedAt),
      state: "typing",
    };
    // Once it is on the ledger its finder stays, and so does its number.
    if (now.onLedger) return { ...find, number: now.number, table: { ...find.table, finder: now.table?.finder ?? finder } };
    return {
      ...find,
      finder: finder?.member === this.who.member ? null : (finder?.member ?? null),
      foundBy: finder && finder.member === null ? finder.name : "",
      memberCode: finder?.code || this.who.code,
    };
  }

  /** Whose row of numbers it takes one from: the finder's; a guest has none, so the number is that of who keys. */
  ownerOf(finder) {
    return finder?.member ?? this.who.member;
  }

  /** Have a number of its finder's block, where this phone has one. */
  async number() {
    const { finder, typed } = this.given;
    if (this.find.onLedger) return;
    const owner = this.ownerOf(finder);
    const { serial, numberFrom } = this.find;
    const isWrong = serial && (numberFrom !== owner || typed.serial.trim());
    if (isWrong) {
      this.find = { ...this.find, serial: null, number: null, numberFrom: null };
      // Not before the find is written without it: no number is ever with two finds.
      await this.put();
      await giveBack(numberFrom, serial);
    }
    if (this.find.serial || !finder || typed.serial.trim()) return;
    const taken = await take(owner);
    if (!taken) return;
    this.find = {
      ...this.find,
      serial: taken.serial,
      number: `${taken.code} ${taken.serial}`,
      numberFrom: owner,
    };
  }

  isWorthKeeping(given) {
    this.given = given;
    return isWorthKeeping(this.composed(this.find));
  }

  /** Hand it to the outbox. Throws NoRoom or NoStore: then it is still being typed. Returns the find. */
  async handOver(given) {
    await this.touch(given);
    await this.number();
    this.find = await changeFind(this.find.id, (now) => ({
      ...this.composed(now ?? this.find),
      number: now?.onLedger ? now.number : numberOf(this.composed(now ?? this.find)),
      state: "waiting",
      tries: 0,
      notBefore: null,
      trouble: null,
      theirs: null,
      photos: (now ?? this.find).photos.map((photo) => ({ ...photo, isKept: true })),
    }));
    return this.find;
  }

  /** A correction is given up: it goes on as it was before, with what the ledger said meanwhile. */
  async leave() {
    if (!this.isTouched || !this.before) return;
    await this.writing;
    const { fields, table, finder, foundBy, memberCode, state } = this.before;
    await changeFind(
      this.find.id,
      (now) =>
        now && { ...now, fields, table, finder, foundBy, memberCode, state: state === "typing" ? "typing" : "waiting" },
    );
  }
}
