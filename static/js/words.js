// Sentences in the language of the page. The English sentence is the key; the catalogue of another language lies in
// static/words/ and is on the page before this runs (ledger/templatetags/words.py), English has none. Literals only,
// which is how `manage.py words` finds them:
//
//   say("{n} photos wait.", { n })      sayN("{n} photo waits.", "{n} photos wait.", n)      say(trait.label)

const words = () => globalThis.ledgerWords ?? {};

/** The sentence, with its values in place of the names in braces. */
export function say(message, values) {
  return filled(Object.hasOwn(words(), message) ? [words()[message]].flat()[0] : message, values);
}

/** The sentence of a count; `{n}` is the count itself. */
export function sayN(one, many, n, values) {
  const known = words();
  const [single, several] = Object.hasOwn(known, one) ? known[one] : [one, many];
  return filled(n === 1 ? single : several, { n, ...values });
}

/** A word within a sentence: in small letters where it is English, else as its language writes it there. */
export function lowered(word) {
  const said = say(word);
  // The page of another language has a catalogue; a word may be the same in both: "Institution".
  return said === word && !globalThis.ledgerWords ? word.toLowerCase() : said;
}

/**
 * A sentence whose values are more than text, such as elements: the pieces in their order, each a text or a value.
 *
 *   box.append(...woven(say("Write {number} on the packet."), { number: bold }))
 */
export function woven(sentence, values) {
  return sentence.split(/(\{\w+\})/).filter(Boolean).map((piece) => values[/^\{(\w+)\}$/.exec(piece)?.[1]] ?? piece);
}

function filled(pattern, values) {
  if (!values) return pattern;
  return pattern.replace(/\{(\w+)\}/g, (whole, name) => (Object.hasOwn(values, name) ? String(values[name]) : whole));
}
