// The pure parts of the outbox asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { merged, questionsOf } from "../../static/js/phone/conflict.js";
import { digestOf, sha256 } from "../../static/js/phone/digest.js";
import * as message from "../../static/js/phone/message.js";
import { isWhole } from "../../static/js/phone/reference.js";
import { answerCalls } from "./lines.mjs";

const CALLS = {
  ...message,
  isWhole,
  merged, questionsOf,
  digestOf,
  sha256,
  sha256OfBytes: (bytes) => sha256(new Uint8Array(bytes)),
};

answerCalls(CALLS);
