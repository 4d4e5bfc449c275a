// Where in a photo's file its EXIF stands: the segment APP1 of a JPEG (CIPA DC-008), the item "Exif" of a HEIC
// (ISO/IEC 14496-12 boxes, ISO/IEC 23008-12 annex A). Reads past the end throw RangeError; the caller takes that for none.

const MOST_ITEMS = 2000;
const TIFF_OFFSET_BYTES = 4;

/** {start, length} of the TIFF block in the file that begins with these bytes, or null. It may lie beyond them. */
export function blockIn(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return inJpeg(bytes);
  return bytes.length > 12 && textAt(bytes, 4, 4) === "ftyp" ? inHeic(view, bytes) : null;
}

function inJpeg(bytes) {
  for (let at = 2; at + 4 <= bytes.length && bytes[at] === 0xff; ) {
    const marker = bytes[at + 1];
    if (marker === 0xff) {
      at += 1; // fill bytes may stand before a marker
      continue;
    }
    if (marker === 0xda || marker === 0xd9) return null;
    const length = bytes[at + 2] * 256 + bytes[at + 3];
    const isExif = marker === 0xe1 && textAt(bytes, at + 4, 6) === "Exif\0\0";
    if (isExif) return { start: at + 10, length: length - 8 };
    at += 2 + Math.max(length, 2);
  }
  return null;
}

function inHeic(view, bytes) {
  const meta = boxes(view, bytes, 0, bytes.length).find(({ type }) => type === "meta");
  if (!meta) return null;
  const inside = boxes(view, bytes, meta.start + 4, meta.end);
  const [info, places] = ["iinf", "iloc"].map((type) => inside.find((box) => box.type === type));
  const item = info && places ? exifItem(view, bytes, info) : null;
  const extent = item === null ? null : extentOf(view, places, item);
  return extent && { ...extent, isItem: true };
}

/** [{type, start, end}] of the boxes that follow one another; the last may be cut off by the end of the bytes. */
function boxes(view, bytes, from, to) {
  const found = [];
  for (let at = from; at + 8 <= Math.min(to, bytes.length) && found.length < MOST_ITEMS; ) {
    let [size, head] = [view.getUint32(at), 8];
    if (size === 1) [size, head] = [Number(view.getBigUint64(at + 8)), 16];
    if (size === 0) size = to - at;
    if (size < head) return found;
    found.push({ type: textAt(bytes, at + 4, 4), start: at + head, end: at + size });
    at += size;
  }
  return found;
}

/** The number of the item of type Exif, or null. */
function exifItem(view, bytes, info) {
  const first = info.start + 4 + (view.getUint8(info.start) === 0 ? 2 : 4);
  for (const { type, start } of boxes(view, bytes, first, info.end)) {
    const version = view.getUint8(start);
    if (type !== "infe" || version < 2) continue;
    const wide = version === 2 ? 2 : 4;
    if (textAt(bytes, start + 4 + wide + 2, 4) === "Exif") return unsigned(view, start + 4, wide);
  }
  return null;
}

/** {start, length} of the first stretch of that item in the file, or null where it lies elsewhere. */
function extentOf(view, places, item) {
  const version = view.getUint8(places.start);
  const [sizes, more] = [view.getUint8(places.start + 4), view.getUint8(places.start + 5)];
  const [offsetBytes, lengthBytes, baseBytes] = [sizes >> 4, sizes & 15, more >> 4];
  const indexBytes = version === 0 ? 0 : more & 15;
  const wide = version < 2 ? 2 : 4;
  let at = places.start + 6;
  const take = (many) => {
    at += many;
    return unsigned(view, at - many, many);
  };
  for (let left = Math.min(take(wide), MOST_ITEMS); left > 0; left -= 1) {
    const number = take(wide);
    const method = version === 0 ? 0 : take(2) & 15;
    take(2);
    const base = take(baseBytes);
    const extents = take(2);
    const isHere = number === item && method === 0 && extents > 0;
    if (isHere) {
      take(indexBytes);
      return { start: base + take(offsetBytes), length: take(lengthBytes) };
    }
    at += extents * (indexBytes + offsetBytes + lengthBytes);
  }
  return null;
}

/** A view of the TIFF block of that block's own bytes, or null: an item begins with how far its TIFF header is away. */
export function tiffView(bytes, { isItem = false }) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (!isItem) return view;
  const skip = TIFF_OFFSET_BYTES + view.getUint32(0);
  return new DataView(bytes.buffer, bytes.byteOffset + skip, bytes.byteLength - skip);
}

function unsigned(view, at, many) {
  if (many === 0) return 0;
  if (many === 2) return view.getUint16(at);
  if (many === 4) return view.getUint32(at);
  if (many === 8) return Number(view.getBigUint64(at));
  throw new RangeError(`a number of ${many} bytes`);
}

function textAt(bytes, at, many) {
  return String.fromCharCode(...bytes.subarray(at, at + many));
}
