// What was seen on walks, on this phone until the ledger has it: a database of its own beside that of the finds.
//
//   sightings  {id, stocktake, member, text, place, isPlace, at, takenBack, sent, trouble}: `place` is the number on a
//              place's label, `isPlace` where that label itself was scanned; `at` in ms of this phone's clock; `sent` once
//              the ledger has said so, false again when it is taken back later; `trouble` why the ledger will not have it

const NAME = "bracket-ledger-walks";
const VERSION = 1;

let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      const sightings = request.result.createObjectStore("sightings", { keyPath: "id" });
      sightings.createIndex("stocktake", "stocktake");
    };
    request.onsuccess = () => {
      const base = request.result;
      base.onversionchange = () => {
        base.close();
        opened = null;
      };
      base.onclose = () => (opened = null);
      resolve(base);
    };
    request.onerror = () => reject(request.error);
  }).catch((problem) => {
    opened = null;
    throw problem;
  });
  return opened;
}

/** `work(store)` may not wait. Resolves with what its request gave, when the bytes are on the disk. */
async function inStore(mode, work) {
  const base = await open();
  return new Promise((resolve, reject) => {
    const transaction = base.transaction("sightings", mode, { durability: "strict" });
    const request = work(transaction.objectStore("sightings"));
    transaction.oncomplete = () => resolve(request?.result);
    transaction.onabort = () => reject(transaction.error ?? new Error("Nothing was written."));
  });
}

export const putSighting = (sighting) => inStore("readwrite", (store) => store.put(sighting));

/** All of one stocktake, the first seen first. */
export async function sightingsOf(stocktake) {
  const all = await inStore("readonly", (store) => store.index("stocktake").getAll(stocktake));
  return all.sort((one, other) => one.at - other.at);
}

export const everySighting = () => inStore("readonly", (store) => store.getAll());

/** Change those that are there still; `change(sighting)` returns what to write, or null to leave it. */
export function changeSightings(ids, change) {
  return inStore("readwrite", (store) => {
    for (const id of ids) {
      const request = store.get(id);
      request.onsuccess = () => {
        const changed = request.result && change(request.result);
        if (changed) store.put(changed);
      };
    }
  });
}

/** What the ledger has of other stocktakes need not stay here. */
export async function forgetOthers(stocktake) {
  const all = await everySighting();
  const old = all.filter((one) => one.stocktake !== stocktake && one.sent);
  await inStore("readwrite", (store) => {
    for (const { id } of old) store.delete(id);
  });
}
