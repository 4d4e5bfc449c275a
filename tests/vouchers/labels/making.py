"""Labels and pictures of sheets for the tests of the labels; all names and places are invented."""

from dataclasses import fields
from datetime import UTC, datetime
from typing import Any

import pypdfium2
from PIL import Image

from vouchers.labels.content import AnnotationSlip, PacketLabel
from vouchers.labels.pdf import Printed, render

MADE_AT = datetime(2026, 11, 25, 12, tzinfo=UTC)

FULL: dict[str, Any] = {
    "accession_number": "TFG 2026-0118",
    "institution": "Tarnside Fungus Group",
    "name": (("Bjerkandera adusta", True),),
    "authority": "(Willd.) P. Karst.",
    "determined_by": "A. Thornley",
    "determined_on": "2 Nov 2026",
    "determined_basis": "pores, flesh line and spores",
    "place": ("England", "Cumbria", "Hollin Carr, north bank"),
    "position": "54.61230°, −2.87450° (WGS 84) ± 9 m",
    "altitude": "214 m",
    "near": "old beeches in wet carr",
    "substrate": "fallen trunk",
    "host": (("Fagus sylvatica", True),),
    "host_basis": "bark and leaves",
    "decay_class": "decay class 3 of 5 (USDA FIA)",
    "fresh": ("cap 58 mm wide, 31 mm long", "pores 6–7 per mm, grey, darkening when pressed", "flexible"),
    "dry": ("hard", "pores blackish"),
    "collector": "M. Rigg",
    "collecting_number": "MR 118",
    "collected_on": "14 Oct 2026",
    "permit": "leave HC-2026-03",
}


def make_label(**changed: Any) -> PacketLabel:
    """A full packet label with the given fields changed."""
    return PacketLabel(**FULL | changed)


def make_slip(**changed: Any) -> AnnotationSlip:
    """A determination slip with the given fields changed."""
    known = {field.name for field in fields(AnnotationSlip) if field.init}
    return AnnotationSlip(**{key: value for key, value in FULL.items() if key in known} | changed)


def print_one(label: PacketLabel | AnnotationSlip, sheet: str = "labels-96x92", paper: str = "a4") -> Printed:
    """One label on one sheet."""
    return render([label], sheet, paper, made_at=MADE_AT)


def text_of(printed: Printed, page: int = 0) -> str:
    """What a reader program copies from a page, each run of white space as one space."""
    assert printed.pdf is not None
    text = pypdfium2.PdfDocument(printed.pdf)[page].get_textpage().get_text_range()
    return " ".join(text.split())


def picture_of(printed: Printed, dots_per_inch: int, page: int = 0) -> Image.Image:
    """A page as it would come from a printer, in grey."""
    assert printed.pdf is not None
    bitmap = pypdfium2.PdfDocument(printed.pdf)[page].render(scale=dots_per_inch / 72)
    return bitmap.to_pil().convert("L")
