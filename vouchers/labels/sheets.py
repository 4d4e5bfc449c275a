"""Papers and packets in millimetres, and which labels stand on them, as data; the drawing reads these tables.

A packet is one sheet with its printed side outwards: the pocket (just over a third of the height) is
folded up, the flap with the label comes down over it, then both sides go behind, 25 to 32 mm wide
(figures: practice of the Florida Museum herbarium for fragment packets). On the page the flap is the
lowest panel, so that the label stands upright both on the page and on the packet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ledger.paper.papers import A4, PAPERS, US_LETTER, Paper
from ledger.words import later, say
from vouchers.labels.sizes import (
    A4_PACKET_LABEL,
    ANNOTATION,
    BOX_LABEL,
    DUPLICATE_LABEL,
    PLACE_LABEL,
    SLIP,
    TAG,
    TUBE_LABEL,
    US_LETTER_PACKET_LABEL,
    LabelSize,
)


class SheetError(ValueError):
    """A sheet or a paper that is not in the tables."""


@dataclass(frozen=True, slots=True)
class CutSheet:
    """Labels edge to edge in the middle of the paper, cut marks outside them."""

    size: LabelSize
    paper: Paper
    columns: int
    rows: int

    @property
    def left_mm(self) -> float:
        """From the paper's left edge to the first label."""
        return (self.paper.width_mm - self.columns * self.size.width_mm) / 2

    @property
    def top_mm(self) -> float:
        """From the paper's top edge to the first label."""
        return (self.paper.height_mm - self.rows * self.size.height_mm) / 2

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """Left and top of each label on a page, in millimetres."""
        return tuple(
            (self.left_mm + column * self.size.width_mm, self.top_mm + row * self.size.height_mm)
            for row in range(self.rows)
            for column in range(self.columns)
        )


@dataclass(frozen=True, slots=True)
class PacketSheet:
    """The sheet that is folded into the packet, the label on its flap.

    `pocket_mm` is the height of the pocket and of the back; what is left is the flap. `side_mm` is
    folded behind on either side.
    """

    size: LabelSize
    paper: Paper
    pocket_mm: float
    side_mm: float

    @property
    def flap_mm(self) -> float:
        """Height of the flap."""
        return self.paper.height_mm - 2 * self.pocket_mm

    @property
    def left_mm(self) -> float:
        """From the paper's left edge to the label."""
        return (self.paper.width_mm - self.size.width_mm) / 2

    @property
    def top_mm(self) -> float:
        """From the paper's top edge to the label."""
        return 2 * self.pocket_mm + (self.flap_mm - self.size.height_mm) / 2

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """Left and top of the one label, in millimetres."""
        return ((self.left_mm, self.top_mm),)


@dataclass(frozen=True, slots=True)
class RollSheet:
    """Labels of a roll: each is a page of its own, as printers of labels want it."""

    size: LabelSize

    @property
    def paper(self) -> Paper:
        """The label itself."""
        return Paper("roll", "Roll", self.size.width_mm, self.size.height_mm)

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """The corner of the page."""
        return ((0.0, 0.0),)


Sheet = CutSheet | PacketSheet | RollSheet


def _cut(size: LabelSize, a4: tuple[int, int], us_letter: tuple[int, int]) -> Mapping[str, Sheet]:
    """Labels of one size on both papers, each with its columns and rows."""
    return {"a4": CutSheet(size, A4, *a4), "us-letter": CutSheet(size, US_LETTER, *us_letter)}


# sheet code -> paper code -> the sheet
SHEETS: Mapping[str, Mapping[str, Sheet]] = MappingProxyType(
    {
        "packet": {
            "a4": PacketSheet(A4_PACKET_LABEL, A4, pocket_mm=100, side_mm=30),
            "us-letter": PacketSheet(US_LETTER_PACKET_LABEL, US_LETTER, pocket_mm=94, side_mm=32),
        },
        "labels-96x92": _cut(A4_PACKET_LABEL, a4=(2, 3), us_letter=(2, 2)),
        "labels-98x88": _cut(US_LETTER_PACKET_LABEL, a4=(2, 3), us_letter=(2, 3)),
        "boxes": _cut(BOX_LABEL, a4=(1, 3), us_letter=(1, 3)),
        "slips": _cut(SLIP, a4=(2, 11), us_letter=(2, 10)),
        "duplicates": _cut(DUPLICATE_LABEL, a4=(2, 3), us_letter=(2, 3)),
        "annotations": _cut(ANNOTATION, a4=(2, 6), us_letter=(2, 6)),
        "tags": _cut(TAG, a4=(3, 10), us_letter=(3, 9)),
        "places": _cut(PLACE_LABEL, a4=(2, 7), us_letter=(2, 7)),
        "tubes": _cut(TUBE_LABEL, a4=(5, 21), us_letter=(5, 20)),
        "tubes-roll": dict.fromkeys(PAPERS, RollSheet(TUBE_LABEL)),
    }
)

SHEET_TITLES = MappingProxyType(
    {
        "packet": later("Packet to fold, label on its flap"),
        "labels-96x92": later("Packet labels, 96 × 92 mm (packets of A4)"),
        "labels-98x88": later("Packet labels, 98 × 88 mm (packets of US letter)"),
        "boxes": later("Box labels, 140 × 88 mm"),
        "slips": later("Determination slips, 98 × 25 mm"),
        "duplicates": later("Labels of duplicates, 98 × 88 mm"),
        "annotations": later("Annotation slips, 98 × 44 mm"),
        "tags": later("Tags for the drier, 64 × 28 mm"),
        "places": later("Labels of store places, 98 × 36 mm"),
        "tubes": later("Small labels, 38 × 13 mm"),
        "tubes-roll": later("Small labels on a roll, 38 × 13 mm each (printer of 203 dots per inch)"),
    }
)


def find_sheet(sheet: str, paper: str) -> Sheet:
    """The sheet of that code on that paper; SheetError names the codes there are."""
    if sheet not in SHEETS:
        raise SheetError(
            say(
                "There is no sheet {sheet}; nothing was printed. Choose one of {sheets}.",
                sheet=repr(sheet),
                sheets=", ".join(SHEETS),
            )
        )
    if paper not in SHEETS[sheet]:
        raise SheetError(
            say(
                "There is no paper {paper}; nothing was printed. Choose one of {papers}.",
                paper=repr(paper),
                papers=", ".join(PAPERS),
            )
        )
    return SHEETS[sheet][paper]
