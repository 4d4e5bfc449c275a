// The EXIF reader of the phone asked by a test: the bytes of a photo in base64 a line in, what it says a line out.
import { createInterface } from "node:readline";

import { exifIn, exifOf } from "../../static/js/phone/exif.js";
import { fillsOf, saysOf } from "../../static/js/log/photo_says.js";

for await (const line of createInterface({ input: process.stdin })) {
  const bytes = new Uint8Array(Buffer.from(JSON.parse(line), "base64"));
  const facts = exifIn(bytes);
  const ofFile = await exifOf(new Blob([bytes]));
  process.stdout.write(`${JSON.stringify({ facts, ofFile, fills: fillsOf(facts), says: saysOf(facts) })}\n`);
}
