// The pure parts of the outbox asked by a test: one JSON object {"call", "args"} a line in, one answer a line out.
import { createInterface } from "node:readline";

import { merged, questionsOf } from "../../static/js/phone/conflict.js";
import { digestOf, sha256 } from "../../static/js/phone/digest.js";
import * as message from "../../static/js/phone/message.js";
import { isWhole } from "../../static/js/phone/reference.js";

const CALLS = {
  ...message,
  isWhole,
  merged, questionsOf,
  digestOf,
  sha256,
  sha256OfBytes: (bytes) => sha256(new Uint8Array(bytes)),
};

for await (const line of createInterface({ input: process.stdin })) {
  const { call, args } = JSON.parse(line);
  let told;
  try {
    told = { said: (await CALLS[call](...args)) ?? null };
  } catch (problem) {
    told = { crash: String(problem.stack) };
  }
  process.stdout.write(`${JSON.stringify(told).replace(/[\u007f-\uffff]/g, (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`)}\n`);
}
