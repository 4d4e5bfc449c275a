"""What lies beside the fungus on a drawn photo: the club's printed scale card, drawn from the card's own table, or a slip.

Ours for the demo alone; the card that is printed is typeset by `ledger/paper/scale_card.py`.
"""

from dataclasses import dataclass

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFont

from ledger.measuring.card import CHECK_WORDS, MARKER_BITS, MODULES, SMALL, Box

_PAPER, _INK = 244, 24
_FINER = 4  # times as large first, so that edges fall between pixels as they do on photos
_SLIP_MM = (56.0, 24.0)


@dataclass(frozen=True, slots=True)
class Beside:
    """`card`: the printed scale card instead of a plain ruler. `number`: what its code, or that of a slip, holds."""

    card: bool = False
    number: str = ""


NOTHING = Beside()


def printed_card(px_per_mm: float, number: str = "") -> Image.Image:
    """The small scale card at that many pixels per mm, with its code where a number is given."""
    sheet = _Sheet(SMALL.width_mm, SMALL.height_mm, px_per_mm)
    for edge in SMALL.scales:
        for mm in range(edge.length_mm + 1):
            long = 3.1 if mm % 10 == 0 else 2.3 if mm % 5 == 0 else 1.5
            sheet.line(edge.x_mm + mm, edge.y_mm, edge.x_mm + mm, edge.y_mm + (long if edge.down else -long))
    for marker in SMALL.markers:
        bits = np.array([int(bit) for bit in MARKER_BITS[marker.id]]).reshape(MODULES, MODULES)
        sheet.modules(np.pad(bits, 1), Box(marker.x_mm, marker.y_mm, marker.side_mm, marker.side_mm))
    for patch in SMALL.greys:
        sheet.fill(patch.box, patch.level)
    check = SMALL.check
    end = check.x_mm + check.length_mm
    sheet.line(check.x_mm, check.y_mm, end, check.y_mm)
    for x in (check.x_mm, end):
        sheet.line(x, check.y_mm - check.end_mm / 2, x, check.y_mm + check.end_mm / 2)
    sheet.words(CHECK_WORDS, (check.x_mm + end) / 2, check.y_mm - 1.9, 2.2)
    field = SMALL.number_beside_code if number else SMALL.number
    sheet.line(
        field.x_mm, field.y_mm + field.height_mm, field.x_mm + field.width_mm, field.y_mm + field.height_mm
    )
    if number:
        sheet.words(number, field.x_mm + field.width_mm / 2, field.y_mm + field.height_mm / 2, 6.0)
        sheet.modules(code_modules(number), SMALL.code_box)
    return sheet.done()


def slip(px_per_mm: float, number: str) -> Image.Image:
    """A paper slip with its number and code."""
    width, height = _SLIP_MM
    sheet = _Sheet(width, height, px_per_mm)
    sheet.words(number, (width - height) / 2 + 1, height / 2, 7.0)
    sheet.modules(code_modules(number), Box(width - height + 2, 2, height - 4, height - 4))
    return sheet.done()


def code_modules(text: str) -> "np.ndarray[tuple[int, ...], np.dtype[np.int64]]":
    """The code of the text as modules, 0 black and 1 white, its quiet zone included."""
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.QRCode, ec_level="M")
    return (np.array(made.to_image(scale=1, add_quiet_zones=True)) > 127).astype(np.int64)


class _Sheet:
    """White paper that is drawn on in millimetres."""

    def __init__(self, width_mm: float, height_mm: float, px_per_mm: float) -> None:
        self._px = px_per_mm * _FINER
        self._size = round(width_mm * px_per_mm), round(height_mm * px_per_mm)
        self._paper = Image.new("L", (self._size[0] * _FINER, self._size[1] * _FINER), _PAPER)
        self._pen = ImageDraw.Draw(self._paper)

    def fill(self, box: Box, level: int) -> None:
        left, top = round(box.x_mm * self._px), round(box.y_mm * self._px)
        right, bottom = (
            round((box.x_mm + box.width_mm) * self._px),
            round((box.y_mm + box.height_mm) * self._px),
        )
        self._pen.rectangle((left, top, right - 1, bottom - 1), fill=level)

    def modules(self, bits: "np.ndarray[tuple[int, ...], np.dtype[np.int64]]", box: Box) -> None:
        side = box.width_mm / bits.shape[0]
        for y, row in enumerate(bits):
            for x, white in enumerate(row):
                place = Box(box.x_mm + x * side, box.y_mm + y * side, side, side)
                self.fill(place, _PAPER if white else _INK)

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        wide = max(1, round(0.14 * self._px))
        self._pen.line(tuple(mm * self._px for mm in (x1, y1, x2, y2)), fill=_INK, width=wide)

    def words(self, text: str, x_mm: float, y_mm: float, high_mm: float) -> None:
        font = ImageFont.load_default(high_mm * self._px)
        self._pen.text((x_mm * self._px, y_mm * self._px), text, font=font, fill=_INK, anchor="mm")

    def done(self) -> Image.Image:
        return self._paper.resize(self._size, Image.Resampling.BOX).convert("RGB")
