// Words one after the other in a sentence, as ledger/traits/documented.py and explain.py list them.

import { say } from "../words.js";

/** `a and b and c`; nothing for none. */
export function allOf(words) {
  return words.length ? words.reduce((first, last) => say("{first} and {last}", { first, last })) : "";
}

/** `a or b or c`; nothing for none. */
export function anyOf(words) {
  return words.length ? words.reduce((first, last) => say("{first} or {last}", { first, last })) : "";
}
