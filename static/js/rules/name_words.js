// A typed name as clean words, the same as ledger/names/words.py. Only spacing, odd characters and the writing of
// abbreviations are touched.

import { SaidError } from "./said.js";
import { BLANK, LETTER, WORD, isLower, isUpper, lengthOf, quoted, splitBlanks, strip, stripSigns } from "./text.js";
import { say } from "../words.js";

/** A typed name that cannot be taken apart; the message says which word is in the way and what to do. */
export class TaxonNameError extends SaidError {}

const LONGEST = 200;
const S = `[${BLANK}]`;
const W = `[${WORD}]`;
const pattern = (shape, flags = "gu") => new RegExp(shape, flags);

const INVISIBLE = /[\u200b\u200c\u200d\u2060\ufeff\u200e\u200f\u00ad]/g;
const ALLOWED = /^[\p{L}\p{N}\p{Mn} .,;:&()[\]'?×-]$/u;
const BLANKS = pattern(`${S}+`);

// Each abbreviation by the ways people write it; the whole word must match, point or not.
const ABBREVIATIONS = {
  "cf.": "c\\.?f(?:r)?|conf|confer",
  "aff.": "aff|affinis",
  "nr.": "nr|near",
  "prox.": "prox",
  "indet.": "indet",
  "stet.": "stet",
  "sp.": "sp|spec|species",
  "spp.": "spp",
  "agg.": "agg|aggr|aggregate",
  group: "group|grp|gr|gp",
  complex: "complex",
  "s.l.": "s\\.?l|s\\.?lat",
  "s.str.": "s\\.?s|s\\.?str",
  "var.": "var|varietas",
  "subsp.": "subsp|ssp|subspecies",
  "nov.": "nov",
  "auct.": "auct|auctt",
};
const BY_SHAPE = Object.entries(ABBREVIATIONS).map(([short, shape]) => [
  short,
  pattern(`^(?:${inAnyCase(shape)})\\.?$`, "u"),
]);
const CAPITAL_FIRST = new Set(["Cf.", "Cf", "Aff.", "Aff", "Indet.", "Indet", "Sp.", "Sp"]);
// Abbreviations of two words are joined first, so that a blank or a point between them does not part them.
const TWO_WORDS = [
  // Lower case only: S.L. may be somebody's initials.
  [pattern(`(?<![${WORD}.])(?:s\\.${S}*l\\.?|s\\.?${S}*lat\\.?|sensu${S}+lato)(?![${WORD}.])`), " s.l. "],
  [pattern(`(?<![${WORD}.])(?:s\\.${S}*s\\.?|s\\.?${S}*str\\.?|sensu${S}+stricto)(?![${WORD}.])`), " s.str. "],
  [pattern(`(?<!${W})${inAnyCase("ex")}${S}+${inAnyCase("gr")}\\.?(?!${W})`), " group "],
  [pattern(`(?<!${W})${inAnyCase("species")}${S}+(?=(?:${inAnyCase("group|complex|aggregate")})(?!${W}))`), " "],
];
// "cf.versicolor", "?caesia", "aff.lucidum": the mark is parted from its word.
const GLUED = pattern(
  `(?<!${W})(${inAnyCase("cf\\.|aff\\.|nr\\.|prox\\.|var\\.|subsp\\.|ssp\\.|sp\\.|\\?")})(?=[\\p{L}\\p{N}])`,
);
// "T.versicolor"
const GLUED_GENUS = pattern(`^([^${WORD}]*${LETTER}{1,2}\\.)(?=${LETTER}{3})`);
// "Trametes (versicolor group)", "Trametes versicolor (agg.)": brackets that hold no author.
const BRACKETED_GROUP = pattern(
  `\\(${S}*((?:[a-zA-Z\\u0130\\u0131\\u017f\\u212a-]+${S}+)?` +
    `(?:${inAnyCase("group|complex|agg\\.?|aggregate|s\\.l\\.")}))${S}*\\)`,
);
const TIMES_BEFORE_WORD = pattern(`×(?=[^${BLANK}])`);
const OPENING = pattern(`${S}*\\(${S}*`);
const CLOSING = pattern(`${S}*\\)${S}*`);

/** One line of composed characters with single blanks. TaxonNameError for what no name holds. */
export function tidy(text) {
  const length = lengthOf(text);
  if (length > LONGEST) {
    throw new TaxonNameError(
      say("A name has at most {most} characters; this has {n}.", { most: LONGEST, n: length }),
    );
  }
  const plain = text
    .replace(INVISIBLE, "")
    .normalize("NFKC")
    .replace(/[‐‑–—−]/g, "-")
    .replace(/[’‘ʼ`´]/g, "'")
    .replace(/[✕✖]/g, "×");
  const line = stripSigns(plain.replace(BLANKS, " "), " ,;");
  for (const sign of line) {
    // Accents that have no composed form stay behind as marks of their own.
    if (!ALLOWED.test(sign)) {
      throw new TaxonNameError(
        say("{typed}: the character {sign} does not belong in a name. Remove it, or leave the name empty.", {
          typed: quoted(strip(text)), sign: quoted(sign),
        }),
      );
    }
  }
  return line;
}

/** The words of a tidy line, abbreviations in one writing each. */
export function wordsOf(tidyLine) {
  let line = tidyLine;
  for (const [shape, short] of TWO_WORDS) line = line.replace(shape, short);
  line = line.replace(BRACKETED_GROUP, " $1 ");
  line = line.replace(GLUED, "$1 ").replace(GLUED_GENUS, "$1 ");
  line = line.replace(TIMES_BEFORE_WORD, "× ");
  line = line.replace(OPENING, " (").replace(CLOSING, ") ");
  const capitals = isUpper(line);
  return splitBlanks(line).map((word) => shortened(word, capitals));
}

/**
 * Abbreviations are lower case, save that a first word has a capital (Cf. Ganoderma) and whole lines may be in
 * capitals; "Near" or "S.L." behind a name is an author.
 */
function shortened(word, capitals) {
  if (!(isLower(word) || capitals || CAPITAL_FIRST.has(word))) return word;
  return BY_SHAPE.find(([, shape]) => shape.test(word))?.[0] ?? word;
}

/** A shape that takes capitals too, and what Python takes for the same letter: ı and İ for i, ſ for s, K for k. */
function inAnyCase(shape) {
  const more = { i: "\\u0130\\u0131", s: "\\u017f", k: "\\u212a" };
  return shape.replace(/[a-z]/g, (letter) => `[${letter}${letter.toUpperCase()}${more[letter] ?? ""}]`);
}
