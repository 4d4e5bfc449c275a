// The check in JavaScript asked by a test. A first line {"pack": {...}} sets the reference; every further line is a list of
// specimens, answered by the list of their results ({"refused": sentence} for one that cannot be checked). The taxa that
// an answer leaves are sent as one text, since thousands of lists of a hundred names take longer to read than to make.
import { createInterface } from "node:readline";

import { checkSpecimen } from "../../static/js/rules/check.js";
import { loadPack } from "../../static/js/rules/pack.js";

let reference = null;

function answer(data) {
  if (!Array.isArray(data)) {
    reference = loadPack(data.pack);
    return reference.digest;
  }
  return data.map((specimen) => {
    try {
      return withLeavesAsText(checkSpecimen(reference, specimen));
    } catch (error) {
      return error.isSaid ? { refused: error.message } : { crash: String(error.stack) };
    }
  });
}

function withLeavesAsText(result) {
  for (const look of result.next_look) {
    for (const answer of look.answers) answer.leaves = answer.leaves.join("|");
  }
  return result;
}

for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  process.stdout.write(`${JSON.stringify(answer(JSON.parse(line)))}\n`);
}
