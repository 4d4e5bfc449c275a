"""Looking at printed labels one by one: the text inside each, ink where none may be, signs drawn over each other."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy
import pypdfium2
from PIL import Image

from vouchers.labels.pdf import Printed
from vouchers.labels.prepare import Lines
from vouchers.labels.sheets import Sheet

_POINT_MM = 25.4 / 72


class Cell(NamedTuple):
    """One label on its page: page number, left, top and size in millimetres; and what was printed of it."""

    page: int
    left: float
    top: float
    width: float
    height: float
    lines: Lines


def cells(printed: Printed, layout: Sheet) -> Iterator[Cell]:
    """The labels of a run of one batch, where they stand, those that were refused left out."""
    (became,) = printed.became
    drawn = [one for one in became if isinstance(one, tuple)]
    for at, lines in enumerate(drawn):
        page, place = divmod(at, len(layout.places))
        left, top = layout.places[place]
        yield Cell(page, left, top, layout.size.width_mm, layout.size.height_mm, lines)


class Sheets:
    """The pages of a PDF, each opened once."""

    def __init__(self, printed: Printed) -> None:
        self._document = pypdfium2.PdfDocument(printed.pdf)
        self._texts: dict[int, pypdfium2.PdfTextPage] = {}
        self._pictures: dict[tuple[int, int], Image.Image] = {}

    def picture(self, page: int, dots_per_inch: int) -> Image.Image:
        """The page as it would come from a printer, in grey."""
        key = page, dots_per_inch
        if key not in self._pictures:
            drawn = self._document[page].render(scale=dots_per_inch / 72)
            self._pictures[key] = drawn.to_pil().convert("L")
        return self._pictures[key]

    def cut_out(self, cell: Cell, dots_per_inch: int) -> Image.Image:
        """One label, cut out along its edges."""
        dot = 25.4 / dots_per_inch
        box = (cell.left, cell.top, cell.left + cell.width, cell.top + cell.height)
        return self.picture(cell.page, dots_per_inch).crop(tuple(round(side / dot) for side in box))

    def text(self, cell: Cell) -> str:
        """What a reader program copies from inside the label's edges, each run of white space as one space."""
        height = self._document[cell.page].get_height()
        left, top = cell.left / _POINT_MM, height - cell.top / _POINT_MM
        right, bottom = left + cell.width / _POINT_MM, top - cell.height / _POINT_MM
        text = self._page_text(cell.page).get_text_bounded(left, bottom, right, top)
        # PDFium gives a hyphen at the end of a line back as a control character.
        return " ".join(text.replace("\x02", "-").split())

    def signs_over_each_other(self, page: int) -> list[str]:
        """Pairs of signs of which one covers more than a third of the other; neighbours of a word are set closer."""
        text = self._page_text(page)
        boxes, signs = [], []
        words = text.get_text_range()
        for at in range(text.count_chars()):
            box = text.get_charbox(at)
            if box[2] - box[0] > 0.1 and box[3] - box[1] > 0.1:
                boxes.append(box)
                signs.append(words[at] if at < len(words) else "?")
        found = []
        if not boxes:
            return found
        left, bottom, right, top = numpy.array(boxes).T
        areas = (right - left) * (top - bottom)
        for at in range(len(boxes) - 1):
            rest = slice(at + 1, None)
            across = numpy.minimum(right[at], right[rest]) - numpy.maximum(left[at], left[rest])
            down = numpy.minimum(top[at], top[rest]) - numpy.maximum(bottom[at], bottom[rest])
            shared = numpy.clip(across, 0, None) * numpy.clip(down, 0, None)
            over = numpy.nonzero(shared > numpy.minimum(areas[at], areas[rest]) / 3)[0]
            found += [f"{signs[at]}{signs[at + 1 + other]} at {boxes[at]}" for other in over if other > 0]
        return found

    def ink_in_the_edge(self, cell: Cell, edge_mm: float) -> bool:
        """Whether anything dark stands in the white all round the label.

        Not looked at: the outermost millimetre, where the arms of cut marks stand, and the innermost, into which the
        tails of the last line hang.
        """
        dots = 300
        whole = numpy.asarray(self.cut_out(cell, dots)) < 128
        outer, inner = round(1.05 * dots / 25.4), round((edge_mm - 1) * dots / 25.4)
        if inner <= outer:
            return False
        ring = whole[outer:-outer, outer:-outer].copy()
        ring[inner - outer : -(inner - outer), inner - outer : -(inner - outer)] = False
        return bool(ring.any())

    def _page_text(self, page: int) -> pypdfium2.PdfTextPage:
        if page not in self._texts:
            self._texts[page] = self._document[page].get_textpage()
        return self._texts[page]
