// What is typed into the log form, kept on this phone under the find's identity until the ledger has confirmed it.
// Photos are not among it: they go to the ledger by themselves, and those that could not stay chosen on the page.

const PREFIX = "ledger-find:";
const REST = new Set(["csrfmiddlewaretoken", "do"]);

const keyOf = (form) => `${PREFIX}${form.dataset.member}:${form.elements.find_id.value}`;

/** Names and values of everything typed or chosen, in the order of the form. */
export function fieldsOf(form) {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && !REST.has(name));
}

/** Returns whether it was kept: a browser may have no room, or keep nothing at all. */
export function store(form) {
  const draft = { at: Date.now(), number: form.dataset.number, fields: fieldsOf(form) };
  try {
    localStorage.setItem(keyOf(form), JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

export function draftOf(form) {
  return read(keyOf(form));
}

/** The ledger has confirmed it. The find's page clears it away. */
export function markSent(form) {
  const draft = draftOf(form);
  if (draft) write(keyOf(form), { ...draft, sent: true });
}

/** New finds of this member that the ledger has not confirmed, the latest first. */
export function unfinished(form) {
  const mine = `${PREFIX}${form.dataset.member}:`;
  return keys()
    .filter((key) => key.startsWith(mine))
    .map((key) => ({ key, id: key.slice(mine.length), ...read(key) }))
    .filter((draft) => draft.fields && !draft.sent && !draft.number)
    .sort((one, other) => other.at - one.at);
}

export function throwAway(form, id = form.elements.find_id.value) {
  remove(`${PREFIX}${form.dataset.member}:${id}`);
}

/** Called where a find's page is reached: what the ledger confirmed need not be kept here any longer. */
export function clearSent(id) {
  for (const key of keys()) {
    if (key.startsWith(PREFIX) && key.endsWith(`:${id}`) && read(key)?.sent) remove(key);
  }
}

export function valueIn(draft, name) {
  return draft.fields.find(([field]) => field === name)?.[1] ?? "";
}

function keys() {
  try {
    return Object.keys(localStorage);
  } catch {
    return [];
  }
}

function read(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function write(key, draft) {
  try {
    localStorage.setItem(key, JSON.stringify(draft));
  } catch {
    // It stays as it was: offered once more, which loses nothing.
  }
}

function remove(key) {
  try {
    localStorage.removeItem(key);
  } catch {
    // Nothing is kept here.
  }
}
