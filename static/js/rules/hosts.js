// Which kind of wood a typed host has, the same as ledger/record/hosts.py. A guess would be worse than nothing.

import { LETTER, casefold, lengthOf } from "./text.js";

const WORDS = new RegExp(`${LETTER}+`, "gu");

/**
 * `conifer`, `hardwood`, or null where the words do not say, or could say both.
 *
 * `groups` is {group: [names]}, each name in small letters with one blank between words; the group "" is of names that
 * tell no kind. The longest names go first: mountain ash is not an ash.
 */
export function groupOf(groups, typed) {
  const phrases = phrasesOf(groups);
  const words = wordsOf(typed);
  const found = new Set();
  let position = 0;
  while (position < words.length) {
    let taken = 1;
    for (let length = Math.min(phrases.longest, words.length - position); length > 0; length -= 1) {
      const group = phrases.groups.get(words.slice(position, position + length).join(" "));
      if (group !== undefined) {
        found.add(group);
        taken = length;
        break;
      }
    }
    position += taken;
  }
  return found.size === 1 ? [...found][0] || null : null;
}

const made = new WeakMap();

function phrasesOf(groups) {
  if (!made.has(groups)) {
    const byName = new Map();
    for (const [group, names] of Object.entries(groups)) for (const name of names) byName.set(name, group);
    const longest = Math.max(0, ...[...byName.keys()].map((name) => name.split(" ").length));
    made.set(groups, { groups: byName, longest });
  }
  return made.get(groups);
}

/** Words in small letters; a plural s is left off words of four letters and more that are not in -ss or -us. */
function wordsOf(text) {
  const words = casefold(text).match(WORDS) ?? [];
  return words.map((word) => (lengthOf(word) > 3 && /[^su]s$/u.test(word) ? word.slice(0, -1) : word));
}
