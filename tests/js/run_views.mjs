// The views still missing, asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { missingSays, missingViews } from "../../static/js/log/view_gaps.js";
import { answerCalls } from "./lines.mjs";

answerCalls({ missingSays, missingViews });
