"""Numbers in frame: the codes of slips, labels and scale cards as a photo shows them, and what they say.

Only what reads as a number of this trade is given on; any other code in frame may tell a place, and says nothing here.
"""

import math
import re
from collections.abc import Iterable

import cv2
import numpy as np
import zxingcpp
from numpy.typing import NDArray

from ledger.collecting_numbers import CODE, SERIAL

Grey = NDArray[np.uint8]

# Most pixels that are searched at once. A usual photo takes some milliseconds; one papered with corners of codes, which
# somebody would have to draw, 2.5 s at this size and 12 s at that of a phone's photo.
MOST_PIXELS = 4_000_000
_MOST_TEXT = 200
_MOST_NUMBERS = 4
# The address on a slip ends in its number; see ledger/slips/urls.py. A card or a label may hold the number itself.
_ADDRESS = re.compile(rf"https?://\S+/q/({CODE})-({SERIAL})")
_COLLECTING = re.compile(rf"({CODE})[ -]({SERIAL})")
_ACCESSION = re.compile(r"([A-Z]{2,8}) ([0-9]{4})-([0-9]{1,6})")


def numbers_in(pictures: Iterable[Grey]) -> tuple[str, ...]:
    """Return the numbers on the codes that the pictures, (h, w) of uint8, show: `AT 57`, `TFG 2026-0118`; each once.

    A code that cannot be read, or says something else, is as if it were not there.
    """
    texts = (text for picture in pictures for text in _texts(picture))
    found = dict.fromkeys(number for text in texts if (number := number_of(text)))
    return tuple(found)[:_MOST_NUMBERS]


def number_of(text: str) -> str | None:
    """Return the collecting or accession number that the text of a code is or holds; None for any other text."""
    text = text.strip()
    if len(text) > _MOST_TEXT:
        return None
    if accession := _ACCESSION.fullmatch(text):
        return f"{accession[1]} {accession[2]}-{int(accession[3]):04d}"
    if collecting := _ADDRESS.fullmatch(text) or _COLLECTING.fullmatch(text):
        return f"{collecting[1]} {int(collecting[2])}"
    return None


def _texts(picture: Grey) -> list[str]:
    if picture.size > MOST_PIXELS:
        picture = _smaller(picture, math.sqrt(MOST_PIXELS / picture.size))
    found = _read(picture)
    # A code that fills the photo, or is blurred, is read better small.
    return found or (_read(_smaller(picture, 0.5)) if min(picture.shape) >= 400 else [])


def _read(picture: Grey) -> list[str]:
    seen = zxingcpp.read_barcodes(
        np.ascontiguousarray(picture),
        formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode]),
        try_rotate=False,
        try_downscale=False,
        try_invert=False,
    )
    return [one.text for one in seen if one.valid]


def _smaller(picture: Grey, share: float) -> Grey:
    height, width = picture.shape
    size = max(1, int(width * share)), max(1, int(height * share))
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
