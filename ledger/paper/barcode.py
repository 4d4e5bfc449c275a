"""The code on a label or a slip: QR (ISO/IEC 18004), drawn as SVG so that it stays sharp at any size."""

from __future__ import annotations

import re

import zxingcpp

from ledger.paper.text import PaperError
from ledger.words import say

# Level M restores some 15 % of a damaged code (ISO/IEC 18004): rubbed toner, a fold, a stain.
ERROR_CORRECTION = "M"
# Modules along one side, the quiet zone of 4 on each side included (ISO/IEC 18004). At 18 mm this
# leaves 0.4 mm for a module; finer ones suffer on a worn printer (common practice, no source).
MOST_MODULES = 45
_WIDTH = re.compile(r'<svg width="(\d+)"')


def qr_svg(text: str) -> str:
    """The QR code of the text as an SVG drawing, quiet zone included; PaperError if it gets too fine."""
    if not text:
        raise PaperError(say("There is nothing to put into the code"))
    try:
        made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level=ERROR_CORRECTION)
    except ValueError as error:
        raise PaperError(
            say("its text of {n} characters is more than a code can hold", n=len(text))
        ) from error
    svg: str = made.to_svg(scale=1, add_quiet_zones=True)
    if side_modules(svg) > MOST_MODULES:
        raise PaperError(say("its text of {n} characters makes the code too fine to be read", n=len(text)))
    return svg


def side_modules(svg: str) -> int:
    """Modules along one side of a code drawn by `qr_svg`, its quiet zone included."""
    width = _WIDTH.search(svg)
    assert width is not None
    return int(width[1])
