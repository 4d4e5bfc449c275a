// Sums and roundings in JavaScript asked by a test: {"call", "args": [[...], ...]} a line in, the list of answers out.
import { createInterface } from "node:readline";

import { fsum } from "../../static/js/rules/fsum.js";
import { rounded, toGrid } from "../../static/js/rules/rounding.js";

const CALLS = { fsum, rounded, toGrid };

for await (const line of createInterface({ input: process.stdin })) {
  const { call, args } = JSON.parse(line);
  process.stdout.write(`${JSON.stringify(args.map((each) => CALLS[call](...each)))}\n`);
}
