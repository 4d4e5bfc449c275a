// The EXIF reader of the phone asked by a test: the bytes of a photo in base64 a line in, what it says a line out.
import { createInterface } from "node:readline";

import { exifIn } from "../../static/js/phone/exif.js";
import { fillsOf, saysOf } from "../../static/js/log/photo_says.js";

for await (const line of createInterface({ input: process.stdin })) {
  const facts = exifIn(new Uint8Array(Buffer.from(JSON.parse(line), "base64")));
  process.stdout.write(`${JSON.stringify({ facts, fills: fillsOf(facts), says: saysOf(facts) })}\n`);
}
