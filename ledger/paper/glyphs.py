"""What the print fonts can draw and how wide it is, read from their own tables.

A character that no font has would stop the whole run in PDF/A, so each label is checked before. The
tables read are those of the OpenType specification: `cmap` (formats 4 and 12), `head`, `hhea`, `hmtx`.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, lru_cache
from pathlib import Path

POINT_MM = 25.4 / 72
FONT_FOLDER = Path(__file__).resolve().parents[2] / "static" / "fonts" / "print"
_NOTO = FONT_FOLDER / "noto-serif"
_UPRIGHT = _NOTO / "NotoSerif_400Regular.ttf"
_ITALIC = _NOTO / "NotoSerif_400Regular_Italic.ttf"
_BOLD = _NOTO / "NotoSerif_700Bold.ttf"
_LAST_RESORT = FONT_FOLDER / "dejavu" / "DejaVuSans.ttf"
_UNICODE_PLATFORMS = {(0, 3), (0, 4), (0, 6), (3, 1), (3, 10)}


def missing(text: str) -> str:
    """The characters of the text that cannot be printed, each once, in order."""
    if text.isascii() and text.isprintable():
        return ""
    printable = _printable()
    return "".join(dict.fromkeys(c for c in text if c not in printable))


def shown(text: str) -> str:
    """The text for a message: half of a surrogate pair, which no file can hold, as a question mark."""
    return text.encode("utf-8", "replace").decode()


@lru_cache(maxsize=8192)  # labels of one club share most of their words
def width_em(text: str, *, italic: bool = False, bold: bool = False) -> float:
    """Width of a line of text as a multiple of its size, without kerning."""
    widths = _widths(_ITALIC if italic else _BOLD if bold else _UPRIGHT)
    return sum(widths.get(c) or _widths(_LAST_RESORT).get(c, 1.0) for c in text)


def first_fitting(
    text: str, sizes_pt: Sequence[float], room_mm: float, *, bold: bool = False
) -> float | None:
    """The first of the sizes in which the text takes one line of that width."""
    width = width_em(text, bold=bold)
    return next((size for size in sizes_pt if width * size * POINT_MM <= room_mm), None)


@cache
def _printable() -> frozenset[str]:
    """Characters to be had upright, italic and bold from Noto Serif, or else from DejaVu Sans."""
    noto = [frozenset(_widths(face)) for face in (_UPRIGHT, _ITALIC, _BOLD)]
    return frozenset.intersection(*noto) | frozenset(_widths(_LAST_RESORT))


@cache
def _widths(face: Path) -> Mapping[str, float]:
    return advance_widths(face.read_bytes())


def advance_widths(font: bytes) -> dict[str, float]:
    """Every character that a TrueType font can draw, with its width in ems."""
    tables = _tables(font)
    (units,) = struct.unpack_from(">H", font, tables[b"head"] + 18)
    (known,) = struct.unpack_from(">H", font, tables[b"hhea"] + 34)
    advances = struct.unpack_from(">" + "Hh" * known, font, tables[b"hmtx"])[::2]
    return {
        chr(code): advances[min(glyph, known - 1)] / units for code, glyph in _glyphs(font, tables[b"cmap"])
    }


def _tables(font: bytes) -> dict[bytes, int]:
    (count,) = struct.unpack_from(">H", font, 4)
    rows = (struct.unpack_from(">4sIII", font, 12 + 16 * row) for row in range(count))
    return {tag: start for tag, _, start, _ in rows}


def _glyphs(font: bytes, start: int) -> Iterator[tuple[int, int]]:
    (subtables,) = struct.unpack_from(">H", font, start + 2)
    for row in range(subtables):
        platform, encoding, offset = struct.unpack_from(">HHI", font, start + 4 + 8 * row)
        if (platform, encoding) not in _UNICODE_PLATFORMS:
            continue
        (form,) = struct.unpack_from(">H", font, start + offset)
        if form == 4:
            yield from _segments(font, start + offset)
        elif form == 12:
            yield from _groups(font, start + offset)


def _segments(font: bytes, at: int) -> Iterator[tuple[int, int]]:
    """Format 4: segments with an end, a start, a delta and an offset into the glyph numbers."""
    (doubled,) = struct.unpack_from(">H", font, at + 6)
    count = doubled // 2
    ends = struct.unpack_from(f">{count}H", font, at + 14)
    starts = struct.unpack_from(f">{count}H", font, at + 16 + doubled)
    deltas = struct.unpack_from(f">{count}H", font, at + 16 + 2 * doubled)
    offsets_at = at + 16 + 3 * doubled
    offsets = struct.unpack_from(f">{count}H", font, offsets_at)
    for segment, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if offsets[segment]:
                place = offsets_at + 2 * segment + offsets[segment] + 2 * (code - first)
                (glyph,) = struct.unpack_from(">H", font, place)
                if not glyph:
                    continue
            if number := (glyph + deltas[segment]) & 0xFFFF:
                yield code, number


def _groups(font: bytes, at: int) -> Iterator[tuple[int, int]]:
    """Format 12: groups of consecutive characters."""
    (count,) = struct.unpack_from(">I", font, at + 12)
    for group in range(count):
        first, last, glyph = struct.unpack_from(">III", font, at + 16 + 12 * group)
        yield from ((code, glyph + code - first) for code in range(first, last + 1) if glyph + code - first)
