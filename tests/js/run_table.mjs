// What is pure of the foray's table, asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { guest, matching, memberPerson, selfFirst, used } from "../../static/js/phone/people.js";
import * as day from "../../static/js/phone/table_day.js";
import { offersFor } from "../../static/js/phone/table_offers.js";
import { placeGiven } from "../../static/js/phone/table_place.js";
import { answerCalls } from "./lines.mjs";

const CALLS = { ...day, guest, matching, memberPerson, selfFirst, used, offersFor, placeGiven };

answerCalls(CALLS);
