// A typed name taken apart: genus, epithet, rank, author, doubt, group; the same as ledger/names/parse.py.
// What cannot be placed is refused by the word that stands in the way; nothing is dropped in silence.

import { TaxonNameError, tidy, wordsOf } from "./name_words.js";
import { BLANK, LETTER, casefold, isLower, isUpper, lengthOf, quoted, strip, stripSigns } from "./text.js";
import { say } from "../words.js";

const MARK_OF_RANK = { subspecies: "subsp.", variety: "var.", form: "f." };
const RANK_OF_MARK = new Map([
  ["subsp.", "subspecies"], ["var.", "variety"], ["f.", "form"], ["fo.", "form"], ["forma", "form"],
]);
const QUALIFIERS = new Set(["cf.", "aff.", "?", "nr.", "prox.", "indet.", "stet."]);
const GROUPS = new Set(["agg.", "group", "complex", "s.l."]);
const SENSES = new Set(["sensu", "auct.", "non", "nec"]);
const UNNAMED = new Set([
  "", "?", "indet.", "sp.", "spp.", "unnamed", "unknown", "unidentified", "undetermined", "not named", "no name",
]);
// Endings of higher ranks.
const ENDINGS = [["mycota", "phylum"], ["mycetes", "class"], ["aceae", "family"], ["ales", "order"]];
// Lower-case words that authors' names are made of. "f." is filius here.
const PARTICLES = new Set(
  (
    "ex in et al al. and de da do dos del della di du la le van von vom zu zur der den ter ten f. fil. nom. sanct. " +
    "cons. emend. ined. comb. prov. bis y e st d'"
  ).split(" "),
);
const NO_GENUS = new Set([...SENSES, ...GROUPS, ...RANK_OF_MARK.keys(), ...PARTICLES, "sp.", "spp.", "nov.", "fr."]);

const S = `[${BLANK}]`;
const pattern = (shape, flags = "u") => new RegExp(shape, flags);
const GENUS = pattern(`^${LETTER}+(?:-${LETTER}+)?$`);
const SHORT_GENUS = pattern(`^${LETTER}{1,2}\\.$`);
const EPITHET = pattern(`^${LETTER}+(?:-${LETTER}+)*$`);
const SUBGENUS = pattern(`^\\(${LETTER}+\\)$`);
const PROVISIONAL = pattern("^(?:nov\\.|[A-Z]|[A-Za-z]*-?\\p{Nd}+[A-Za-z]?)$");
const OF_AUTHORS = pattern("^(?:d'.+|\\p{Nd}{4})$", "su");
const SANCTIONED = pattern(`${S}*:${S}*[^():,&]*?(?=[):,&]|$)`, "gu");
const BLANK_BEFORE_SIGN = pattern(`${S}+([),])`, "gu");
const NOM_SANCT = pattern(`,?${S}*nom\\. sanct\\.`, "gu");
const BLANKS = pattern(`${S}+`, "gu");
// Figures of str.isdigit(): decimal ones, and rings, brahmi and the like that are none.
const FIGURES = pattern(
  "^[\\p{Nd}\\u1369-\\u1371\\u19da\\u24f5-\\u24fd\\u24ff\\u2776-\\u277e\\u2780-\\u2788\\u278a-\\u2792" +
    "\\u{10a40}-\\u{10a43}\\u{10e60}-\\u{10e68}\\u{11052}-\\u{1105a}]+$",
);

/**
 * The parts of a typed name, as the fields of Name in ledger/names/name.py; an empty text is an unnamed find.
 * TaxonNameError with the reason otherwise.
 */
export function parseName(text) {
  const line = tidy(text);
  const words = wordsOf(line);
  if (UNNAMED.has(casefold(line)) || (words.length === 1 && UNNAMED.has(casefold(words[0])))) {
    return { ...EMPTY, unnamed: true, typed: text };
  }
  if (!bracketsClose(line)) {
    throw new TaxonNameError(
      say("{typed}: a bracket is not closed. Authors stand as in (L.) Lloyd.", { typed: quoted(strip(text)) }),
    );
  }
  return new Reader(text, words, isUpper(line)).read();
}

/** The bare name: no author, qualifier or sense. "" if unnamed. Names are compared by this. */
export function canonicalOf(name) {
  const infra = name.infra && name.rank in MARK_OF_RANK ? [MARK_OF_RANK[name.rank], name.infra] : [];
  return [name.genus, name.epithet, ...infra].filter(Boolean).join(" ");
}

const EMPTY = Object.freeze({
  genus: null, epithet: null, rank: null, qualifier: null, qualified: "", authority: "", infra: null, group: false,
  groupMark: "", unnamed: false, speciesUnnamed: "", provisional: "", sense: "", speciesAuthority: "", hybrid: "",
  typed: "",
});

function bracketsClose(line) {
  let depth = 0;
  for (const sign of line) {
    depth += "([".includes(sign) - ")]".includes(sign);
    if (depth < 0) return false;
  }
  return depth === 0;
}

/** Walks the words once, from the genus to the author. */
class Reader {
  constructor(text, words, capitals) {
    this.text = text;
    this.words = words;
    this.capitals = capitals;
    this.name = { ...EMPTY, typed: text };
    this.author = [];
  }

  read() {
    this.readGenus();
    this.readEpithet();
    while (this.words.length) this.readNext();
    this.name.authority = this.authority();
    if (this.name.infra && !this.name.epithet) throw this.error(say("a third word is named but no epithet"));
    return this.name;
  }

  readGenus() {
    const { name, words } = this;
    if (this.isTimes(this.peek()) && words.length > 1) {
      words.shift();
      name.hybrid = "genus";
    }
    if (QUALIFIERS.has(this.peek())) {
      name.qualifier = words.shift();
      name.qualified = "genus";
    }
    if (!words.length) throw this.error(say("there is a sign of doubt but no name"));
    const word = this.undoubted(words.shift(), "genus");
    const isShort = SHORT_GENUS.test(word);
    if (NO_GENUS.has(casefold(word)) || (!isShort && (!GENUS.test(word) || lengthOf(word) < 2))) {
      throw this.error(
        say("{word} is no genus. A name begins with the genus, family or order", { word: quoted(word) }),
      );
    }
    const [first] = word;
    const genus = first.toUpperCase() + word.slice(first.length).toLowerCase();
    const followed = this.isEpithet(0) || this.isTimes(this.peek());
    const higher = ENDINGS.find(
      ([ending]) => genus.endsWith(ending) && lengthOf(genus) > ending.length + 2,
    );
    name.genus = genus;
    name.rank = followed || !higher ? "genus" : higher[1];
  }

  readEpithet() {
    const { name, words } = this;
    if (SUBGENUS.test(this.peek()) && this.isEpithet(1) && isUpper([...this.peek()][1])) {
      words.shift(); // a subgenus in brackets is no part of the name; it stays in `typed`
    }
    if (this.isTimes(this.peek()) && (this.isEpithet(1) || QUALIFIERS.has(words[1]))) {
      words.shift();
      name.hybrid = "epithet";
    }
    if (this.peek() === "group" && this.isEpithet(1)) {
      name.group = true; // ex gr. versicolor
      name.groupMark = words.shift();
    }
    if (["sp.", "spp."].includes(this.peek())) {
      name.speciesUnnamed = words.shift();
      if (!QUALIFIERS.has(this.peek())) {
        // What distinguishes one unnamed species from the next: sp. 1, sp. A, sp. nov.
        if (words.length && PROVISIONAL.test(words[0])) name.provisional = words.shift();
        return;
      }
    }
    if (QUALIFIERS.has(this.peek())) {
      const doubt = words.shift();
      this.doubt(doubt, this.isEpithet(0) ? "epithet" : "");
    }
    if (this.isEpithet(0)) {
      name.epithet = this.undoubted(words.shift(), "epithet").toLowerCase();
      name.rank = "species";
      name.speciesUnnamed = "";
      this.refuseThirdWord();
    }
  }

  readNext() {
    const { name, words } = this;
    const word = words.shift();
    if (GROUPS.has(word)) {
      name.group = true;
      name.groupMark = word;
    } else if (word === "s.str.") {
      name.sense = word;
    } else if (SENSES.has(word)) {
      name.sense = [word, ...words].join(" ");
      words.length = 0;
    } else if (this.isMark(word)) {
      this.readInfra(word);
    } else if (QUALIFIERS.has(word) && this.isMark(this.peek(), 1)) {
      this.doubt(word, "infra");
    } else if (QUALIFIERS.has(word) && !this.isEpithet(0)) {
      this.doubt(word, "");
    } else if (word === "×" || QUALIFIERS.has(word)) {
      throw this.error(
        say("{word} stands where no name follows it. Name one fungus, and doubt it once", { word: quoted(word) }),
      );
    } else {
      this.readAuthorWord(word);
    }
  }

  readInfra(mark) {
    if (this.name.infra) throw this.error(say("more than three words are named"));
    this.name.infra = this.undoubted(this.words.shift(), "infra").toLowerCase();
    this.name.rank = RANK_OF_MARK.get(mark) ?? "form";
    this.name.speciesAuthority = this.authority();
    this.author = [];
  }

  readAuthorWord(word) {
    const bare = stripSigns(word, "(),[]");
    const known = PARTICLES.has(casefold(bare)) || ["&", ":", ""].includes(bare) || !isLower(bare);
    if (!known && !OF_AUTHORS.test(bare)) {
      throw this.error(
        say("{word} is neither part of the name nor of its author. Put remarks elsewhere", { word: quoted(word) }),
      );
    }
    if (FIGURES.test(bare) && lengthOf(bare) !== 4) {
      throw this.error(say("the number {word} is no part of a name", { word: quoted(word) }));
    }
    if (word.endsWith("?")) this.doubt("?", this.name.epithet ? "epithet" : "genus");
    this.author.push(withoutDoubt(word));
  }

  refuseThirdWord() {
    const { words } = this;
    if (words.length && this.isEpithet(0) && !this.isMark(words[0], 1) && !this.capitals) {
      throw this.error(
        say("the third word {word} has no rank. Write var., subsp. or f. before it, or put remarks elsewhere", {
          word: quoted(words[0]),
        }),
      );
    }
  }

  /** Whether a word is var., subsp. or f. with a third word behind it; L. f. is the younger Linnaeus. */
  isMark(word, ahead = 0) {
    return RANK_OF_MARK.has(word) && this.isEpithet(ahead);
  }

  isEpithet(at) {
    if (at >= this.words.length) return false;
    const word = withoutDoubt(this.words[at]);
    if (!EPITHET.test(word) || lengthOf(word) < 2) return false;
    if (PARTICLES.has(word) || SENSES.has(word) || GROUPS.has(word) || RANK_OF_MARK.has(word)) return false;
    return isLower(word) || (this.capitals && lengthOf(word) > 2);
  }

  isTimes(word) {
    return word === "×" || word === "x";
  }

  undoubted(word, part) {
    if (word.endsWith("?") && word.length > 1) this.doubt("?", part);
    return withoutDoubt(word) || word;
  }

  doubt(qualifier, part) {
    const { name } = this;
    if (name.qualifier !== null) {
      throw this.error(
        say("it is doubted twice, by {one} and {other}. Keep one", { one: name.qualifier, other: qualifier }),
      );
    }
    name.qualifier = qualifier;
    name.qualified = part;
  }

  /** The author as typed, without the colon of sanctioned names. */
  authority() {
    let author = stripSigns(this.author.join(" "), " ,;");
    author = author.replace(SANCTIONED, " ").replace(BLANK_BEFORE_SIGN, "$1").replace(NOM_SANCT, "");
    return stripSigns(author.replace(BLANKS, " "), " ,;:");
  }

  peek() {
    return this.words[0] ?? "";
  }

  error(what) {
    return new TaxonNameError(
      say("{typed}: {wrong}. The text is kept as typed.", { typed: quoted(strip(this.text)), wrong: what }),
    );
  }
}

function withoutDoubt(word) {
  return word.replace(/\?+$/, "");
}
