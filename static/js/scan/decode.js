// Reading a QR code out of a picture, by the pinned library. It is one file without exports: it leaves its function here.
import "../../vendor/jsqr/jsQR.js";

/** The text of the code in an ImageData, or null. Codes are printed dark on light, so no negative is looked for. */
export function decode({ data, width, height }) {
  const found = globalThis.jsQR(data, width, height, { inversionAttempts: "dontInvert" });
  return found?.data || null;
}
