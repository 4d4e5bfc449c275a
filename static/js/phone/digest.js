// SHA-256 in lower-case hex: the name of a photo, and the seal on a find that is sent.

/** Of a text as UTF-8, or of bytes. */
export async function sha256(content) {
  const bytes = typeof content === "string" ? new TextEncoder().encode(content) : content;
  const digest = await crypto.subtle.digest("SHA-256", bytes);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** What the seal of a find is made of, as compact JSON without escapes beyond those JSON needs. */
export const sealed = ({ find, version, finder, found_by, serial, fields, photos }) =>
  JSON.stringify([
    find,
    version,
    finder,
    found_by,
    serial,
    fields,
    photos.map((photo) => [photo.sha256, photo.bytes, photo.view]),
  ]);

/** The digest of a find as it is sent, and as the ledger must give it back. */
export const digestOf = (message) => sha256(sealed(message));
