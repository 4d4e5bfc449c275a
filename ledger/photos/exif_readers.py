"""Two independent readers of the same EXIF block, brought to one plain form.

Neither is trusted alone: ExifRead raises AssertionError on HEIC files written by libheif, Pillow keeps quiet about
blocks it cannot follow. ``exif.py`` holds their answers against each other.
"""

import logging
from collections.abc import Mapping
from contextlib import suppress
from fractions import Fraction
from io import BytesIO
from typing import Any

import exifread
from PIL import ExifTags, Image

# It prints a line to standard output for every picture without EXIF; what matters comes back as a warning instead.
logging.getLogger("exifread").setLevel(logging.CRITICAL)

Value = str | tuple[Fraction | None, ...]
"""Text, or numbers; None stands for a number that is none (zero denominator, NaN, infinity)."""

Answers = Mapping[str, Value]

# Our name: (directory, tag number). Exif 2.32 / 3.0 numbers, as in the tables of general-purpose libraries.
TAGS = {
    "make": ("Image", 0x010F),
    "model": ("Image", 0x0110),
    "orientation": ("Image", 0x0112),
    "exif_version": ("EXIF", 0x9000),
    "date_original": ("EXIF", 0x9003),
    "offset_original": ("EXIF", 0x9011),
    "subsec_original": ("EXIF", 0x9291),
    "latitude_ref": ("GPS", 0x0001),
    "latitude": ("GPS", 0x0002),
    "longitude_ref": ("GPS", 0x0003),
    "longitude": ("GPS", 0x0004),
    "altitude_ref": ("GPS", 0x0005),
    "altitude": ("GPS", 0x0006),
    "gps_time": ("GPS", 0x0007),
    "gps_status": ("GPS", 0x0009),
    "direction_ref": ("GPS", 0x0010),
    "direction": ("GPS", 0x0011),
    "datum": ("GPS", 0x0012),
    "gps_date": ("GPS", 0x001D),
    "error": ("GPS", 0x001F),
}
_TEXT = {"exif_version"}  # written as bytes, meant as text


def read_by_exifread(data: bytes) -> Answers | None:
    """What ExifRead finds, or None where it gives up."""
    try:
        tags = exifread.process_file(BytesIO(data), details=False, extract_thumbnail=False)
    except Exception:
        # Seen on real files: AssertionError (HEIC of libheif), struct.error, IndexError, KeyError, ValueError.
        return None
    by_number = {
        (key.split(" ", 1)[0], tag.tag): tag.values for key, tag in tags.items() if hasattr(tag, "values")
    }
    return _plain(by_number)


def read_by_pillow(picture: Image.Image) -> Answers | None:
    """What Pillow finds in an opened picture, or None where it gives up."""
    by_number: dict[tuple[str, int], Any] = {}
    try:
        exif = picture.getexif()
        for directory, block in (
            ("Image", exif),
            ("EXIF", exif.get_ifd(ExifTags.IFD.Exif)),
            ("GPS", exif.get_ifd(ExifTags.IFD.GPSInfo)),
        ):
            by_number.update({(directory, number): value for number, value in block.items()})
    except Exception:
        # As for ExifRead: bytes of a stranger, and the position is never worth losing the photo for.
        return None
    return _plain(by_number)


def _plain(by_number: Mapping[tuple[str, int], Any]) -> Answers:
    found: dict[str, Value] = {}
    for name, where in TAGS.items():
        if where in by_number:
            with suppress(TypeError, ValueError, OverflowError):
                found[name] = _value(by_number[where], as_text=name in _TEXT)
    return found


def _value(raw: Any, as_text: bool) -> Value:
    if isinstance(raw, str):
        return raw.split("\0", 1)[0].strip()
    if as_text:
        return bytes(raw).decode("ascii", "replace").strip("\0 ")
    if isinstance(raw, bytes | list | tuple):
        return tuple(_fraction(part) for part in raw)
    return (_fraction(raw),)


def _fraction(raw: Any) -> Fraction | None:
    """A number exactly as written. Zero denominators, NaN and infinities are no number, never 0."""
    if hasattr(raw, "denominator") and raw.denominator == 0:
        return None
    if isinstance(raw, float):
        return Fraction(raw) if raw == raw and abs(raw) != float("inf") else None
    return Fraction(int(raw.numerator), int(raw.denominator))
