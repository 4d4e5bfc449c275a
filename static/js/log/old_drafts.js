// Finds that were being typed when this phone still kept them in another place.
import { blankFind } from "../phone/message.js";
import { getFind, openStore, putFind } from "../phone/store.js";

const OLD_PREFIX = "ledger-find:";

/** What an older version left of finds being typed is taken over, once. */
export async function takeOver() {
  await openStore();
  for (const key of oldKeys()) {
    const [member, id] = key.slice(OLD_PREFIX.length).split(":");
    const draft = readOld(key);
    if (draft?.fields && !draft.sent && id && !(await getFind(id))) {
      const version = Number(draft.fields.find(([name]) => name === "version")?.[1]) || null;
      const at = draft.at ?? Date.now();
      const number = draft.number || null;
      await putFind({ ...blankFind({ id }, at), member: Number(member) || null, fields: draft.fields, version, number });
    }
    localStorage.removeItem(key);
  }
}

function oldKeys() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(OLD_PREFIX));
  } catch {
    return [];
  }
}

function readOld(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}
