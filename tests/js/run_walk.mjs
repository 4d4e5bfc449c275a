// What is pure of scanning and of a walk, asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { readCode } from "../../static/js/scan/codes.js";
import { InView } from "../../static/js/scan/in_view.js";
import { Walk } from "../../static/js/stocktake/walk.js";
import { answerCalls } from "./lines.mjs";

/** Read codes one after the other: [[text, whether it is another packet's]]. Returns what was answered, and the count. */
function walked(about, codes, before = []) {
  const walk = new Walk(about, before);
  const answers = codes.map(([text, isAnother], n) => {
    const answer = isAnother ? walk.another(text) : walk.read(text);
    if (answer.sighting) walk.recorded({ id: `s${n}`, ...answer.sighting });
    return answer;
  });
  return { answers, count: walk.count(), here: walk.here };
}

/** Pictures [[text or null, time]] -> whether each brought a code into view. */
function viewed(pictures) {
  const view = new InView();
  return pictures.map(([text, at]) => view.read(text, at));
}

answerCalls({ readCode, walked, viewed });
