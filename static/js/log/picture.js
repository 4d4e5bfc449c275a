// Whether a chosen file is a picture that the ledger can take (ledger/photos/decoding.py): told while the fungus is still
// there to be taken again. Only what surely is none is refused; what this phone alone cannot decode is kept.

import { say } from "../words.js";

// A file so small holds no photo of a fungus: looked at whole, to see how many pixels it has.
const SMALL_BYTES = 4096;
const LEAST_PX = 16;
const HEIC = ["heic", "heix", "hevc", "hevx", "heim", "heis", "hevm", "hevs", "mif1", "msf1"];

/** "picture" (a JPEG, PNG or WebP), "heic" (which few browsers can draw), or "" by the first bytes of a file. */
export function kindOf(bytes) {
  const start = [...new Uint8Array(bytes, 0, Math.min(12, bytes.byteLength))];
  const text = String.fromCharCode(...start);
  if (start[0] === 0xff && start[1] === 0xd8 && start[2] === 0xff) return "picture";
  if (text.startsWith("\x89PNG\r\n\x1a\n")) return "picture";
  if (text.startsWith("RIFF") && text.slice(8) === "WEBP") return "picture";
  return text.slice(4, 8) === "ftyp" && HEIC.includes(text.slice(8)) ? "heic" : "";
}

/** Why the file of that name is no picture and was left out; empty where it is one, or may be one. */
export async function noPictureSays(name, bytes, blob) {
  const kind = kindOf(bytes);
  if (!kind) return say("{name} is no picture: JPEG, PNG, WebP and HEIC are taken. It was left out; the find is kept. Take it again.", { name });
  if (kind === "heic" || bytes.byteLength > SMALL_BYTES) return "";
  try {
    const picture = await createImageBitmap(blob);
    const { width, height } = picture;
    picture.close();
    if (Math.min(width, height) >= LEAST_PX) return "";
    return say(
      "{name} is no picture of a find: {width} × {height} pixels. It was left out; the find is kept. Take it again.",
      { name, width, height },
    );
  } catch {
    return say("{name} is no picture: nothing in it can be shown. It was left out; the find is kept. Take it again.", { name });
  }
}
