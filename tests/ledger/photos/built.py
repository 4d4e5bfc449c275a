"""Photos built for the tests, EXIF written byte by byte so that it can be wrong in every way wanted."""

import io
import struct

from PIL import Image, ImageDraw

BYTE, ASCII, SHORT, LONG, RATIONAL, UNDEFINED, DOUBLE = 1, 2, 3, 4, 5, 7, 12
LATITUDE = {0x0001: (ASCII, "N"), 0x0002: (RATIONAL, [(51, 1), (2846, 100), (0, 1)])}
LONGITUDE = {0x0003: (ASCII, "W"), 0x0004: (RATIONAL, [(0, 1), (0, 1), (531, 100)])}
PLACE = LATITUDE | LONGITUDE


def exif(image=None, exif=None, gps=None) -> bytes:
    """A big-endian EXIF block; each directory is ``{tag: (type, values)}``."""
    start = 8
    image = dict(image or {})
    sizes = [_size(image) + 12 * bool(exif) + 12 * bool(gps)]
    sizes.append(_size(exif) if exif else 0)
    if exif:
        image[0x8769] = (LONG, [start + sizes[0]])
    if gps:
        image[0x8825] = (LONG, [start + sizes[0] + sizes[1]])
    blocks = _directory(image, start)
    if exif:
        blocks += _directory(exif, start + sizes[0])
    if gps:
        blocks += _directory(gps, start + sizes[0] + sizes[1])
    return b"Exif\0\0MM\0*" + struct.pack(">I", start) + blocks


def picture(size=(64, 48), mode="RGB") -> Image.Image:
    """Grey, with the upper left quarter red where the mode has colours."""
    drawn = Image.new("RGB", size, (120, 120, 120))
    ImageDraw.Draw(drawn).rectangle((0, 0, size[0] // 2 - 1, size[1] // 2 - 1), fill=(220, 30, 30))
    return drawn.convert(mode)


def saved(drawn=None, format="JPEG", **options) -> bytes:
    out = io.BytesIO()
    (drawn or picture()).save(out, format, **options)
    return out.getvalue()


def photo(image=None, exif_=None, gps=None, **options) -> bytes:
    """A small JPEG with the EXIF directories given."""
    return saved(exif=exif(image, exif_, gps), **options)


def _values(kind, values) -> tuple[int, bytes]:
    if kind == ASCII:
        text = values.encode() + b"\0"
        return len(text), text
    if kind in (BYTE, UNDEFINED):
        return len(values), bytes(values)
    if kind == RATIONAL:
        return len(values), b"".join(struct.pack(">II", *pair) for pair in values)
    return len(values), b"".join(
        struct.pack({SHORT: ">H", LONG: ">I", DOUBLE: ">d"}[kind], v) for v in values
    )


def _size(entries) -> int:
    extra = sum(len(b) + len(b) % 2 for _, b in (_values(*e) for e in entries.values()) if len(b) > 4)
    return 2 + 12 * len(entries) + 4 + extra


def _directory(entries, at) -> bytes:
    head, tail = struct.pack(">H", len(entries)), b""
    after = at + 2 + 12 * len(entries) + 4
    for tag in sorted(entries):
        count, content = _values(*entries[tag])
        head += struct.pack(">HHI", tag, entries[tag][0], count)
        if len(content) <= 4:
            head += content.ljust(4, b"\0")
        else:
            head += struct.pack(">I", after + len(tail))
            tail += content + b"\0" * (len(content) % 2)
    return head + b"\0\0\0\0" + tail
