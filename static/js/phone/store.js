// What this phone holds, in IndexedDB: finds and their photos until the ledger has confirmed them, and what the form
// needs to know without a signal. Pages and the service worker share it. Every function returns a promise.
//
//   finds   {id, member, state: "typing" | "waiting" | "sending" | "refused" | "changed" | "confirmed",
//            fields: [[name, value]], photos: [{sha256, bytes, view, name, type, confirmed, isKept, refused}], version,
//            openedAt, number, serial, finder, foundBy, madeAt, changedAt, tries, notBefore, trouble, doubts, isTold};
//            times in ms of this phone's clock; a photo with isKept false was added since the find was handed to the
//            outbox; isTold is false while nobody has been told yet what became of it
//   photos  {find, sha256, blob}: the original bytes
//   kept    {name, value}: anything small, such as "hello" or "blocks"
//   own     own finds as the ledger lists them (finds.json)

import { say } from "../words.js";

const NAME = "bracket-ledger";
const VERSION = 1;

/** There is no room left on the phone. Nothing of what was to be written is written. */
export class NoRoom extends Error {
  constructor() {
    super(say("There is no room left on this phone."));
    this.name = "NoRoom";
  }
}

/** The browser keeps nothing here at all, such as in some private windows. */
export class NoStore extends Error {
  constructor(cause) {
    super(say("This browser stores nothing."), { cause });
    this.name = "NoStore";
  }
}

let opened = null;

/** The database, opened once. Throws NoStore. */
export function openStore() {
  opened ??= new Promise((resolve, reject) => {
    let request;
    try {
      request = indexedDB.open(NAME, VERSION);
    } catch (problem) {
      reject(new NoStore(problem));
      return;
    }
    request.onupgradeneeded = () => {
      const store = request.result;
      store.createObjectStore("finds", { keyPath: "id" });
      store.createObjectStore("photos", { keyPath: ["find", "sha256"] });
      store.createObjectStore("kept", { keyPath: "name" });
      store.createObjectStore("own", { keyPath: "id" });
    };
    request.onsuccess = () => {
      const store = request.result;
      // Another tab with a newer version of this program must not wait for this one.
      store.onversionchange = () => {
        store.close();
        opened = null;
      };
      store.onclose = () => {
        opened = null;
      };
      resolve(store);
    };
    request.onerror = () => reject(new NoStore(request.error));
  }).catch((problem) => {
    opened = null;
    throw problem;
  });
  return opened;
}

// --- finds ---

export const getFind = (id) => reading("finds", (finds) => finds.get(id));

/** Finds of that member, or of everybody; the oldest first. */
export async function listFinds(member = undefined) {
  const finds = await reading("finds", (store) => store.getAll());
  return finds
    .filter((find) => member === undefined || find.member === member)
    .sort((one, other) => one.madeAt - other.madeAt);
}

/**
 * Write a find; with `photos` ({find, sha256, blob}) and `without` (SHA-256 of photos taken back) in one transaction.
 * It is handed to the browser whole before this returns: a page that is left in the same moment loses nothing of it.
 */
export function putFind(find, { photos = [], without = [] } = {}) {
  return writing(["finds", "photos"], (finds, shots) => {
    finds.put(find);
    for (const photo of photos) shots.put(photo);
    for (const sha256 of without) shots.delete([find.id, sha256]);
    finds.transaction.commit?.();
  });
}

/**
 * Read a find, change it and write it back in one transaction, so that a form and the outbox never write over one
 * another. `change(find | undefined)` returns the find to write, or null to leave all as it is; it may not wait.
 * `without`: SHA-256 of photos taken away, or a function of the changed find that gives them. Returns what stands there
 * afterwards.
 */
export async function changeFind(id, change, { photos = [], without = [] } = {}) {
  let after;
  await writing(["finds", "photos"], (finds, shots) => {
    const request = finds.get(id);
    request.onsuccess = guarded(request, () => {
      const found = request.result;
      const changed = change(found);
      after = changed ?? found;
      if (!changed) return;
      finds.put(changed);
      for (const photo of photos) shots.put(photo);
      const gone = typeof without === "function" ? without(changed) : without;
      for (const sha256 of gone) shots.delete([id, sha256]);
    });
  });
  return after;
}

/** Take a find and its photos away, in one transaction. */
export function removeFind(id) {
  return writing(["finds", "photos"], (finds, photos) => {
    finds.delete(id);
    photos.delete(rangeOf(id));
  });
}

// --- photos ---

export const getPhoto = (find, sha256) => reading("photos", (photos) => photos.get([find, sha256]));

export const removePhoto = (find, sha256) => writing(["photos"], (photos) => photos.delete([find, sha256]));

/** Every key [find, a SHA-256]: an array sorts behind every text. */
const rangeOf = (find) => IDBKeyRange.bound([find], [find, []]);

// --- anything small ---

/** Returns undefined where nothing is kept under that name. */
export const getKept = async (name) => (await reading("kept", (kept) => kept.get(name)))?.value;

export const setKept = (name, value) => writing(["kept"], (kept) => kept.put({ name, value }));

/** As changeFind: `change(value | undefined)` returns the value to keep; undefined leaves it. Returns what is kept. */
export async function changeKept(name, change) {
  let after;
  await writing(["kept"], (kept) => {
    const request = kept.get(name);
    request.onsuccess = guarded(request, () => {
      const value = change(request.result?.value);
      after = value === undefined ? request.result?.value : value;
      if (value !== undefined) kept.put({ name, value });
    });
  });
  return after;
}

// --- own finds, as the ledger lists them ---

export function replaceOwn(list) {
  return writing(["own"], (own) => {
    own.clear();
    for (const find of list) own.put(find);
  });
}

export const listOwn = () => reading("own", (own) => own.getAll());

export const getOwn = (id) => reading("own", (own) => own.get(id));

// --- room ---

/** Bytes used and allowed, and whether the browser has promised not to clear them; null where it does not say. */
export async function roomLeft() {
  const storage = globalThis.navigator?.storage;
  const told = await storage?.estimate?.().catch(() => null);
  const persistent = await storage?.persisted?.().catch(() => null);
  return { used: told?.usage ?? null, quota: told?.quota ?? null, persistent: persistent ?? null };
}

// --- transactions ---

async function reading(name, ask) {
  const store = await openStore();
  return new Promise((resolve, reject) => {
    const request = ask(store.transaction(name, "readonly").objectStore(name));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** `write(...objectStores)` may not wait. Resolves when the bytes are on the disk, not merely on their way. */
async function writing(names, write) {
  const store = await openStore();
  return new Promise((resolve, reject) => {
    const transaction = store.transaction(names, "readwrite", { durability: "strict" });
    const refuse = () => reject(asNoRoom(transaction.problem ?? transaction.error));
    transaction.oncomplete = () => resolve();
    transaction.onabort = refuse;
    try {
      write(...names.map((name) => transaction.objectStore(name)));
    } catch (problem) {
      endWith(transaction, problem);
    }
  });
}

/** What throws inside a request's answer ends the transaction with that reason, so that nothing is half written. */
function guarded(request, answer) {
  return () => {
    try {
      answer();
    } catch (problem) {
      endWith(request.transaction, problem);
    }
  };
}

function endWith(transaction, problem) {
  transaction.problem = problem;
  transaction.abort();
}

function asNoRoom(problem) {
  return problem?.name === "QuotaExceededError" ? new NoRoom() : (problem ?? new Error("Nothing was written."));
}
