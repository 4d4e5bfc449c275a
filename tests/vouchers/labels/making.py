"""Labels and pictures of sheets for the tests of the labels; all names and places are invented."""

from collections.abc import Callable
from dataclasses import fields
from datetime import UTC, datetime
from typing import Any

import pypdfium2
from PIL import Image

from vouchers.labels.annotation import AnnotationSlip
from vouchers.labels.content import DeterminationSlip, PacketLabel
from vouchers.labels.pdf import Printed, render
from vouchers.labels.prepare import Label
from vouchers.labels.tags import Tag, TubeLabel

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


def make_slip(**changed: Any) -> DeterminationSlip:
    """A determination slip with the given fields changed."""
    known = {field.name for field in fields(DeterminationSlip) if field.init}
    return DeterminationSlip(**{key: value for key, value in FULL.items() if key in known} | changed)


def make_cut(**changed: Any) -> AnnotationSlip:
    """An annotation slip of a piece that was cut, with the given fields changed."""
    told = {
        "cut": "piece of the inner flesh, 4 × 4 mm",
        "cut_by": "L. Crabbe",
        "cut_on": "9 Nov 2026",
        "why": "sequence of the ITS region",
        "leave": "TFG-A 2026-003",
        "result": "sequence XX000001",
    }
    known = {field.name for field in fields(AnnotationSlip)}
    return AnnotationSlip(**{key: value for key, value in FULL.items() if key in known} | told | changed)


def make_place(**changed: Any) -> Tag:
    """The label of a place in the store with the given fields changed."""
    told: dict[str, Any] = {
        "number": "TFG PLACE 17",
        "title": (("Box 12", False),),
        "institution": "Tarnside Fungus Group",
        "lines": (("In", "Herbarium room › Cabinet 2 › Shelf 3"), ("Holds", "holds 40")),
    }
    return Tag(**told | changed)


def make_tag(**changed: Any) -> Tag:
    """The tag of a specimen in the drier with the given fields changed."""
    told: dict[str, Any] = {
        "number": "TFG 2026-0118",
        "title": (("MR 118", False),),
        "institution": "Tarnside Fungus Group",
        "lines": (("Coll.", "14 Oct 2026"),),
    }
    return Tag(**told | changed)


def make_tube(**changed: Any) -> TubeLabel:
    """The label of a tissue tube with the given fields changed."""
    told = {"accession_number": "TFG 2026-0118", "suffix": "T1", "collecting_number": "MR 118"}
    return TubeLabel(**told | changed)


def make_duplicate(**changed: Any) -> PacketLabel:
    """The label of a duplicate for exchange with the given fields changed."""
    return make_label(**{"what": "Duplicate", "accession_number": "TFG 2026-0118 D1"} | changed)


# A label of the right kind for each sheet there is.
MAKERS: dict[str, Callable[..., Label]] = {
    "packet": make_label,
    "labels-96x92": make_label,
    "labels-98x88": make_label,
    "boxes": make_label,
    "slips": make_slip,
    "duplicates": make_duplicate,
    "annotations": make_cut,
    "tags": make_tag,
    "places": make_place,
    "tubes": make_tube,
    "tubes-roll": make_tube,
}


def print_one(label: Label, sheet: str = "labels-96x92", paper: str = "a4") -> Printed:
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
