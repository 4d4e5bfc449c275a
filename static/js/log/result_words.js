// Words that stand in the results of the rules as they are, and are said on screens: the same as in ledger/finds/data_words.py.
import { say } from "../words.js";

const WORDS = {
  // outcomes and standings
  within: say("within"),
  edge: say("edge"),
  outside: say("outside"),
  "cannot tell": say("cannot tell"),
  "not read": say("not read"),
  "not applicable": say("not applicable"),
  fits: say("fits"),
  open: say("open"),
  doubtful: say("doubtful"),
  "ruled out": say("ruled out"),
  // what was looked at
  read: say("read"),
  "not looked": say("not looked"),
  "cannot say": say("cannot say"),
  absent: say("absent"),
};

/** The word as a person reads it. */
export const resultWord = (word) => WORDS[word] ?? word;
