"""Data slips and pictures of printed pages for the tests of the paper room; all names are invented."""

from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pypdfium2
import zxingcpp
from PIL import Image

from ledger.paper.slips import DataSlip, PrintedSlips, print_slips
from ledger.traits.reference_files import read_vocabulary
from ledger.traits.vocabulary import Vocabulary

MADE_AT = datetime(2026, 9, 4, 12, tzinfo=UTC)
FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


@cache
def vocabulary() -> Vocabulary:
    return read_vocabulary(FIXTURES / "traits.json")


def make_slip(serial: int = 57, **changed: Any) -> DataSlip:
    """A slip of Ada Thorne's with the given fields changed."""
    given = {
        "number": f"AT {serial}",
        "finder": "Ada Thorne",
        "code": f"https://ledger.example.org/q/AT-{serial}",
        "institution": "Hollin Fungus Group",
    }
    return DataSlip(**given | changed)


def print_them(*slips: DataSlip, paper: str = "a4") -> PrintedSlips:
    return print_slips(slips, vocabulary(), paper, made_at=MADE_AT)


def page_count(pdf: bytes) -> int:
    return len(pypdfium2.PdfDocument(pdf))


def size_mm(pdf: bytes, page: int = 0) -> tuple[float, float]:
    width, height = pypdfium2.PdfDocument(pdf)[page].get_size()
    return width * 25.4 / 72, height * 25.4 / 72


def text_of(pdf: bytes, page: int = 0) -> str:
    """What a reader program copies from a page, each run of white space as one space."""
    text = pypdfium2.PdfDocument(pdf)[page].get_textpage().get_text_range()
    return " ".join(text.split())


def picture_of(pdf: bytes, dots_per_inch: int, page: int = 0) -> Image.Image:
    """A page as it would come from a printer, in grey."""
    return pypdfium2.PdfDocument(pdf)[page].render(scale=dots_per_inch / 72).to_pil().convert("L")


def codes_on(pdf: bytes, page: int = 0) -> list[str]:
    """The texts of the QR codes on a page as printed at 300 dots per inch, sorted."""
    return sorted(code.text for code in zxingcpp.read_barcodes(picture_of(pdf, 300, page)))
