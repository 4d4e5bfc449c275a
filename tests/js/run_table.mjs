// What is pure of the foray's table, asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { createInterface } from "node:readline";

import { guest, matching, memberPerson, used } from "../../static/js/phone/people.js";
import * as day from "../../static/js/phone/table_day.js";
import { offersFor } from "../../static/js/phone/table_offers.js";

const CALLS = { ...day, guest, matching, memberPerson, used, offersFor };

function answer(line) {
  const { call, args } = JSON.parse(line);
  try {
    return { said: CALLS[call](...args) ?? null };
  } catch (error) {
    return { crash: String(error.stack) };
  }
}

for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  process.stdout.write(`${JSON.stringify(answer(line))}\n`);
}
