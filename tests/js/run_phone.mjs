// The pure parts of the outbox asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { lastLog } from "../../static/js/log/same_log.js";
import { unfinishedWords } from "../../static/js/log/restoring.js";
import { isOfSlip } from "../../static/js/log/slip.js";
import { photoName, photosThere } from "../../static/js/log/views.js";
import { isOfAnother, notYours } from "../../static/js/log/whose.js";
import { linesOf, newsOf } from "../../static/js/phone/arrivals.js";
import { numberInAddress } from "../../static/js/phone/collecting_number.js";
import { merged, questionsOf } from "../../static/js/phone/conflict.js";
import { digestOf, sha256 } from "../../static/js/phone/digest.js";
import * as message from "../../static/js/phone/message.js";
import { isWhole } from "../../static/js/phone/reference.js";
import { sendNowState } from "../../static/js/phone/send_now.js";
import { lowered, woven } from "../../static/js/words.js";
import { answerCalls } from "./lines.mjs";

const CALLS = {
  ...message,
  isWhole,
  isOfAnother, isOfSlip, lastLog, notYours, unfinishedWords,
  linesOf, newsOf, sendNowState,
  merged, questionsOf,
  numberInAddress,
  photoName, photosThere,
  lowered, woven,
  digestOf,
  sha256,
  sha256OfBytes: (bytes) => sha256(new Uint8Array(bytes)),
};

answerCalls(CALLS);
