// The check in JavaScript asked by a test. A first line {"pack": {...}, "ready"} sets the reference; every further line is a list of
// specimens, answered by the list of their results ({"refused": sentence} for one that cannot be checked). Of the taxa that
// an answer leaves, mostly a hundred names, their number and a digest are sent: all of them would be most of the text.
// `stands_out` is the look-alike that stands out, or null.
import { createHash } from "node:crypto";

import { checkSpecimen } from "../../static/js/rules/check.js";
import { clearFirst } from "../../static/js/rules/lookalikes.js";
import { loadPack } from "../../static/js/rules/pack.js";
import { makeReady } from "../../static/js/rules/ready.js";
import { answerLines } from "./lines.mjs";

let reference = null;

async function answer(data) {
  if (!Array.isArray(data)) {
    reference = loadPack(data.pack);
    if (data.ready) await makeReady(reference, { state: "fresh" });
    return reference.digest;
  }
  return data.map((specimen) => {
    try {
      const result = withLeavesDigested(checkSpecimen(reference, specimen));
      return { ...result, stands_out: clearFirst(reference, result.look_alikes)?.taxon ?? null };
    } catch (error) {
      return error.isSaid ? { refused: error.message } : { crash: String(error.stack) };
    }
  });
}

function withLeavesDigested(result) {
  for (const look of result.next_look) {
    for (const answer of look.answers) {
      const digest = createHash("sha256").update(answer.leaves.join("|")).digest("hex");
      answer.leaves = `${answer.leaves.length} taxa, ${digest}`;
    }
  }
  return result;
}

answerLines(answer);
