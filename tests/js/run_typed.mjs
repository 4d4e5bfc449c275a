// The rules in JavaScript asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { answersFor } from "../../static/js/rules/answers.js";
import { checkSpecimen } from "../../static/js/rules/check.js";
import { dayOf } from "../../static/js/rules/dates.js";
import { edits } from "../../static/js/rules/edits.js";
import { specimenOf } from "../../static/js/rules/form.js";
import { groupOf } from "../../static/js/rules/hosts.js";
import { knownNames, matchName } from "../../static/js/rules/name_match.js";
import { parseName } from "../../static/js/rules/name_parse.js";
import { nameNote, namesOffered, readName, writtenAs } from "../../static/js/rules/names.js";
import { inShort } from "../../static/js/rules/next_look.js";
import { loadPack } from "../../static/js/rules/pack.js";
import { general, floatText, thousands, whole } from "../../static/js/rules/printed.js";
import * as text from "../../static/js/rules/text.js";
import { parseSpecimen } from "../../static/js/rules/specimen.js";
import { boundsOf, parseMeasure } from "../../static/js/rules/typed.js";
import * as units from "../../static/js/rules/units.js";
import { visible } from "../../static/js/rules/visible.js";
import { answerCalls } from "./lines.mjs";

// The traits of the vocabulary, by code, as `vocabulary` was told them.
let traits = new Map();
let taxa = new Map();
let known = null;
let reference = null;

const CALLS = {
  general, floatText, thousands, whole,
  ...text,
  ...units,
  parseMeasure, boundsOf, visible,
  vocabulary: (rows) => {
    traits = new Map(rows.map((trait) => [trait.code, trait]));
  },
  taxa: (rows) => {
    taxa = new Map(rows.map((taxon) => [taxon.name, taxon]));
    known = knownNames(taxa.values());
  },
  parseName, edits, nameNote, writtenAs,
  namesOffered: () => namesOffered(taxa),
  matchName: (typed) => matchName(typed, known),
  readName: (typed) => readName(typed, taxa),
  pack: (json) => {
    reference = loadPack(json);
  },
  answersFor: (code, state, age) => answersFor(reference, reference.traits.get(code), state, age),
  nextLooks: (specimen) => checkSpecimen(reference, specimen).next_look,
  inShort,
  checkForm: (fields) => checkSpecimen(reference, specimenOf(fields, reference).specimen),
  dayOf,
  groupOf: (typed) => groupOf(reference.form.hosts, typed),
  specimenOf: (fields) => specimenOf(fields, reference),
  parseSpecimen: (data) => parseSpecimen(data, traits),
  isWord: (sign) => new RegExp(`[${text.WORD}]`, "u").test(sign),
  isLetter: (sign) => new RegExp(text.LETTER, "u").test(sign),
  // Several at once, so that a sweep over many values is one line.
  each: (call, list) => list.map((args) => CALLS[call](...args)),
};

answerCalls(CALLS);
