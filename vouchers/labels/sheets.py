"""Sizes of labels, papers and packets in millimetres, as data; the drawing reads these tables.

A packet is one sheet with its printed side outwards: the pocket (just over a third of the height) is
folded up, the flap with the label comes down over it, then both sides go behind, 25 to 32 mm wide
(figures: practice of the Florida Museum herbarium for fragment packets; label at most about
100 x 100 mm: Royal Botanic Garden Edinburgh; slip about 25 x 100 mm: Florida Museum). On the page
the flap is the lowest panel, so that the label stands upright both on the page and on the packet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from ledger.paper.papers import A4, PAPERS, US_LETTER, Paper


class SheetError(ValueError):
    """A sheet or a paper that is not in the tables."""


@dataclass(frozen=True, slots=True)
class Step:
    """One try at fitting: type sizes of the name and of all other text in points, white in ems of the text.

    `row_em` is the white above and below each ruled line; on a slip that above its name and its determination.
    """

    name_pt: float
    text_pt: float
    leading_em: float
    row_em: float


@dataclass(frozen=True, slots=True)
class LabelSize:
    """A label: outer size and what is inside it.

    `edge_mm` is the white all round, `foot_mm` what the caution or the
    gathering takes at the bottom, `margin_mm` the column
    of the words in the margin, `gap_mm` the white between columns. `code_mm` is the side of the code with
    its quiet zone, `code_column_mm` its column, wider for the number under it; 0 where there is no code.
    """

    kind: Literal[
        "packet", "slip"
    ]  # a whole label, or the slip of one determination; each has its own drawing
    width_mm: float
    height_mm: float
    edge_mm: float
    foot_mm: float
    margin_mm: float
    gap_mm: float
    code_mm: float
    code_column_mm: float
    number_pt: float
    steps: tuple[Step, ...]

    @property
    def inner_mm(self) -> float:
        """Width between the edges."""
        return self.width_mm - 2 * self.edge_mm

    @property
    def name_mm(self) -> float:
        """Width of the name and its determination."""
        return self.inner_mm - self.code_column_mm - self.gap_mm if self.code_mm else self.inner_mm

    @property
    def line_mm(self) -> float:
        """Width of the text beside the margin column."""
        return self.inner_mm - self.margin_mm - self.gap_mm

    @property
    def room_mm(self) -> float:
        """Height between the upper edge and the foot."""
        return self.height_mm - 2 * self.edge_mm - self.foot_mm


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
    def per_page(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows


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
    def per_page(self) -> int:
        """Labels on one page."""
        return 1


Sheet = CutSheet | PacketSheet

# The larger type first; 8 pt is the least that is printed, 12 pt for the name.
_PACKET_STEPS = (
    Step(15, 10.5, leading_em=0.50, row_em=0.40),
    Step(15, 10, leading_em=0.50, row_em=0.38),
    Step(14, 9.5, leading_em=0.50, row_em=0.38),
    Step(14, 9, leading_em=0.50, row_em=0.38),
    Step(13, 9, leading_em=0.44, row_em=0.30),
    Step(13, 8.5, leading_em=0.44, row_em=0.30),
    Step(12, 8.5, leading_em=0.40, row_em=0.25),
    Step(12, 8, leading_em=0.44, row_em=0.30),
    Step(12, 8, leading_em=0.40, row_em=0.25),
)
_SLIP_STEPS = (
    Step(14, 10, leading_em=0.50, row_em=0.45),
    Step(13, 9.5, leading_em=0.50, row_em=0.30),
    Step(13, 9, leading_em=0.50, row_em=0.15),
    Step(12, 9, leading_em=0.50, row_em=0.40),
    Step(12, 8.5, leading_em=0.44, row_em=0.10),
    Step(12, 8, leading_em=0.40, row_em=0),
)


def _packet_label(width_mm: float, height_mm: float) -> LabelSize:
    return LabelSize(
        "packet",
        width_mm,
        height_mm,
        edge_mm=4,
        foot_mm=5,
        margin_mm=14.5,
        gap_mm=2,
        code_mm=18,
        code_column_mm=22,
        number_pt=11.5,
        steps=_PACKET_STEPS,
    )


A4_PACKET_LABEL = _packet_label(96, 92)
US_LETTER_PACKET_LABEL = _packet_label(98, 88)
SLIP = LabelSize(
    "slip",
    width_mm=98,
    height_mm=25,
    edge_mm=3,
    foot_mm=2.9,
    margin_mm=0,
    gap_mm=0,
    code_mm=0,
    code_column_mm=0,
    number_pt=10,
    steps=_SLIP_STEPS,
)

# sheet code -> paper code -> the sheet
SHEETS: Mapping[str, Mapping[str, Sheet]] = MappingProxyType(
    {
        "packet": {
            "a4": PacketSheet(A4_PACKET_LABEL, A4, pocket_mm=100, side_mm=30),
            "us-letter": PacketSheet(US_LETTER_PACKET_LABEL, US_LETTER, pocket_mm=94, side_mm=32),
        },
        "labels-96x92": {
            "a4": CutSheet(A4_PACKET_LABEL, A4, columns=2, rows=3),
            "us-letter": CutSheet(A4_PACKET_LABEL, US_LETTER, columns=2, rows=2),
        },
        "labels-98x88": {
            "a4": CutSheet(US_LETTER_PACKET_LABEL, A4, columns=2, rows=3),
            "us-letter": CutSheet(US_LETTER_PACKET_LABEL, US_LETTER, columns=2, rows=3),
        },
        "slips": {
            "a4": CutSheet(SLIP, A4, columns=2, rows=11),
            "us-letter": CutSheet(SLIP, US_LETTER, columns=2, rows=10),
        },
    }
)

SHEET_TITLES = MappingProxyType(
    {
        "packet": "Packet to fold, label on its flap",
        "labels-96x92": "Packet labels, 96 × 92 mm (packets of A4)",
        "labels-98x88": "Packet labels, 98 × 88 mm (packets of US letter)",
        "slips": "Determination slips, 98 × 25 mm",
    }
)


def find_sheet(sheet: str, paper: str) -> Sheet:
    """The sheet of that code on that paper; SheetError names the codes there are."""
    if sheet not in SHEETS:
        raise SheetError(
            f"There is no sheet {sheet!r}; nothing was printed. Choose one of {', '.join(SHEETS)}."
        )
    if paper not in SHEETS[sheet]:
        raise SheetError(
            f"There is no paper {paper!r}; nothing was printed. Choose one of {', '.join(PAPERS)}."
        )
    return SHEETS[sheet][paper]
