// Sums and roundings in JavaScript asked by a test: {"call", "args": [[...], ...]} a line in, the list of answers out.
import { fsum } from "../../static/js/rules/fsum.js";
import { rounded, toGrid } from "../../static/js/rules/rounding.js";
import { answerLines } from "./lines.mjs";

const CALLS = { fsum, rounded, toGrid };

answerLines(({ call, args }) => args.map((each) => CALLS[call](...each)));
