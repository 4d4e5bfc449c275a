"""Which characters the print fonts can draw, read from their own tables.

A character that no font has would stop the whole run in PDF/A, so each label is checked before.
The table read is `cmap` of the OpenType specification (formats 4 and 12).
"""

from __future__ import annotations

import struct
from functools import cache
from pathlib import Path

FONT_FOLDER = Path(__file__).resolve().parents[2] / "static" / "fonts" / "print"
_UNICODE_PLATFORMS = {(0, 3), (0, 4), (0, 6), (3, 1), (3, 10)}


def missing(text: str) -> str:
    """The characters of the text that cannot be printed, each once, in order."""
    return "".join(dict.fromkeys(c for c in text if c not in printable()))


def shown(text: str) -> str:
    """The text for a message: half of a surrogate pair, which no file can hold, as a question mark."""
    return text.encode("utf-8", "replace").decode()


@cache
def printable() -> frozenset[str]:
    """Characters to be had upright, italic and bold from Noto Serif, or else from DejaVu."""
    noto = [characters(path.read_bytes()) for path in sorted((FONT_FOLDER / "noto-serif").glob("*.ttf"))]
    sans = characters((FONT_FOLDER / "dejavu" / "DejaVuSans.ttf").read_bytes())
    return frozenset.intersection(*noto) | sans


def characters(font: bytes) -> frozenset[str]:
    """All characters that a TrueType font maps to a glyph."""
    (tables,) = struct.unpack_from(">H", font, 4)
    for row in range(tables):
        tag, _, start, _ = struct.unpack_from(">4sIII", font, 12 + 16 * row)
        if tag == b"cmap":
            return frozenset(map(chr, _cmap(font, start)))
    return frozenset()


def _cmap(font: bytes, start: int) -> set[int]:
    found: set[int] = set()
    (subtables,) = struct.unpack_from(">H", font, start + 2)
    for row in range(subtables):
        platform, encoding, offset = struct.unpack_from(">HHI", font, start + 4 + 8 * row)
        if (platform, encoding) not in _UNICODE_PLATFORMS:
            continue
        (form,) = struct.unpack_from(">H", font, start + offset)
        if form == 4:
            found |= _segments(font, start + offset)
        elif form == 12:
            found |= _groups(font, start + offset)
    return found


def _segments(font: bytes, at: int) -> set[int]:
    """Format 4: segments with an end, a start, a delta and an offset into the glyph numbers."""
    (doubled,) = struct.unpack_from(">H", font, at + 6)
    count = doubled // 2
    ends = struct.unpack_from(f">{count}H", font, at + 14)
    starts = struct.unpack_from(f">{count}H", font, at + 16 + doubled)
    deltas = struct.unpack_from(f">{count}H", font, at + 16 + 2 * doubled)
    offsets_at = at + 16 + 3 * doubled
    offsets = struct.unpack_from(f">{count}H", font, offsets_at)
    found: set[int] = set()
    for segment, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if offsets[segment]:
                place = offsets_at + 2 * segment + offsets[segment] + 2 * (code - first)
                (glyph,) = struct.unpack_from(">H", font, place)
                if not glyph:
                    continue
            if (glyph + deltas[segment]) & 0xFFFF:
                found.add(code)
    return found


def _groups(font: bytes, at: int) -> set[int]:
    """Format 12: groups of consecutive characters."""
    (count,) = struct.unpack_from(">I", font, at + 12)
    found: set[int] = set()
    for group in range(count):
        first, last, glyph = struct.unpack_from(">III", font, at + 16 + 12 * group)
        found.update(code for code in range(first, last + 1) if glyph + code - first)
    return found
