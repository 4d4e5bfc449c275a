// The EXIF reader of the phone asked by a test: the bytes of a photo in base64 a line in, what it says a line out.
import { exifIn, exifOf } from "../../static/js/phone/exif.js";
import { fillsOf, saysOf } from "../../static/js/log/photo_says.js";
import { answerLines } from "./lines.mjs";

answerLines(async (base64) => {
  const bytes = new Uint8Array(Buffer.from(base64, "base64"));
  const facts = exifIn(bytes);
  const ofFile = await exifOf(new Blob([bytes]));
  return { facts, ofFile, fills: fillsOf(facts), says: saysOf(facts) };
});
