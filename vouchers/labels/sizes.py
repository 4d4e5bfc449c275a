"""Sizes of labels in millimetres, and the types tried on each, as data; the drawing reads these tables.

Label at most about 100 x 100 mm: Royal Botanic Garden Edinburgh; slip about 25 x 100 mm: Florida Museum herbarium. Box,
tag and tube labels: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from ledger.words import Later, later

# What a label is made of, and so which template draws it.
Kind = Literal["packet", "slip", "annotation", "tag", "tube"]

# What a label is called within a sentence: in refusals and rows of prints. By the kind under which its prints are kept
# (`vouchers/printing/kinds.py`).
CALLED: Mapping[str, Later] = MappingProxyType(
    {
        "packet": later("packet label"),
        "box": later("box label"),
        "slip": later("determination slip"),
        "duplicate": later("duplicate label"),
        "annotation": later("annotation slip"),
        "tag": later("drier tag"),
        "place": later("place label"),
        "tray": later("tray tag"),
        "part": later("small label"),
    }
)
# Several of them, as the title of a file says it.
MANY_CALLED: Mapping[str, Later] = MappingProxyType(
    {
        CALLED["packet"]: later("Packet labels"),
        CALLED["box"]: later("Box labels"),
        CALLED["slip"]: later("Determination slips"),
        CALLED["duplicate"]: later("Duplicate labels"),
        CALLED["annotation"]: later("Annotation slips"),
        CALLED["tag"]: later("Drier tags"),
        CALLED["place"]: later("Place labels"),
        CALLED["tray"]: later("Tray tags"),
        CALLED["part"]: later("Small labels"),
    }
)


@dataclass(frozen=True, slots=True)
class Step:
    """One try at fitting: type sizes of the name and of all other text in points, white in ems of the text.

    `row_em` is the white above and below each ruled line; on a slip that above its name and its determination. On a tag
    the name is its title, on a tube label the suffix of the part.
    """

    name_pt: float
    text_pt: float
    leading_em: float
    row_em: float


@dataclass(frozen=True, slots=True)
class LabelSize:
    """A label: outer size and what is inside it.

    `called` is its name out of CALLED. `edge_mm` is the white all round, `foot_mm` what the caution or the gathering
    takes at the bottom, `margin_mm` the column of the words in the margin, `gap_mm` the white between columns. `code_mm`
    is the side of the code with its quiet zone, `code_column_mm` its column, wider for the number under it; 0 where
    there is no code. Where `module_mm` is given, each module of the code has that side, and `code_mm` is the most that
    a long number may take.
    """

    kind: Kind
    called: Later
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
    module_mm: float = 0.0

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
_BOX_STEPS = (
    Step(20, 12, leading_em=0.50, row_em=0.40),
    Step(18, 11, leading_em=0.50, row_em=0.40),
    *_PACKET_STEPS,
)
_SLIP_STEPS = (
    Step(14, 10, leading_em=0.50, row_em=0.45),
    Step(13, 9.5, leading_em=0.50, row_em=0.30),
    Step(13, 9, leading_em=0.50, row_em=0.15),
    Step(12, 9, leading_em=0.50, row_em=0.40),
    Step(12, 8.5, leading_em=0.44, row_em=0.10),
    Step(12, 8, leading_em=0.40, row_em=0),
)
_ANNOTATION_STEPS = (
    Step(13, 10, leading_em=0.50, row_em=0.45),
    Step(12, 9.5, leading_em=0.50, row_em=0.38),
    Step(12, 9, leading_em=0.44, row_em=0.30),
    Step(12, 8.5, leading_em=0.40, row_em=0.25),
    Step(12, 8, leading_em=0.40, row_em=0.20),
)
_PLACE_STEPS = (
    Step(26, 10, leading_em=0.50, row_em=0),
    Step(22, 10, leading_em=0.50, row_em=0),
    Step(18, 9, leading_em=0.50, row_em=0),
    Step(15, 8.5, leading_em=0.44, row_em=0),
    Step(12, 8, leading_em=0.40, row_em=0),
)
_TAG_STEPS = (
    Step(18, 9, leading_em=0.50, row_em=0),
    Step(15, 8.5, leading_em=0.44, row_em=0),
    Step(12, 8, leading_em=0.40, row_em=0),
)
_TUBE_STEPS = (
    Step(15, 8, leading_em=0.44, row_em=0),
    Step(12, 8, leading_em=0.36, row_em=0),
    Step(9, 8, leading_em=0.28, row_em=0),
)


def _packet_label(
    width_mm: float, height_mm: float, called: Later = CALLED["packet"], code_column_mm: float = 22
) -> LabelSize:
    return LabelSize(
        "packet",
        called,
        width_mm,
        height_mm,
        edge_mm=4,
        foot_mm=5,
        margin_mm=16.5,  # “Permission” and a white before the rule
        gap_mm=2,
        code_mm=18,
        code_column_mm=code_column_mm,
        number_pt=11.5,
        steps=_PACKET_STEPS,
    )


A4_PACKET_LABEL = _packet_label(96, 92)
US_LETTER_PACKET_LABEL = _packet_label(98, 88)
# The suffix makes the number under the code wider.
DUPLICATE_LABEL = _packet_label(98, 88, CALLED["duplicate"], code_column_mm=26)
# Read from a step away on the front of a box: a larger number, a larger code, lines that run on.
BOX_LABEL = LabelSize(
    "packet",
    CALLED["box"],
    width_mm=140,
    height_mm=88,
    edge_mm=4,
    foot_mm=5,
    margin_mm=16.5,
    gap_mm=2,
    code_mm=23,
    code_column_mm=25,
    number_pt=20,
    steps=_BOX_STEPS,
)
SLIP = LabelSize(
    "slip",
    CALLED["slip"],
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
ANNOTATION = LabelSize(
    "annotation",
    CALLED["annotation"],
    width_mm=98,
    height_mm=44,
    edge_mm=3,
    foot_mm=3.4,
    margin_mm=11,
    gap_mm=2,
    code_mm=0,
    code_column_mm=0,
    number_pt=10,
    steps=_ANNOTATION_STEPS,
)
PLACE_LABEL = LabelSize(
    "tag",
    CALLED["place"],
    width_mm=98,
    height_mm=36,
    edge_mm=3,
    foot_mm=0,
    margin_mm=0,
    gap_mm=3,
    code_mm=23,
    code_column_mm=26,
    number_pt=8,
    steps=_PLACE_STEPS,
)
TAG = LabelSize(
    "tag",
    CALLED["tag"],
    width_mm=64,
    height_mm=28,
    edge_mm=2.5,
    foot_mm=0,
    margin_mm=0,
    gap_mm=2,
    code_mm=16.5,
    code_column_mm=24,
    number_pt=8,
    steps=_TAG_STEPS,
)
# A thermal printer of 203 dots per inch cannot part a dot: a module has three of its own, whole ones.
DOT_203_MM = 25.4 / 203
TUBE_LABEL = LabelSize(
    "tube",
    CALLED["part"],
    width_mm=38,
    height_mm=13,
    edge_mm=2 * DOT_203_MM,
    foot_mm=0,
    margin_mm=0,
    gap_mm=1.5,
    code_mm=12.5,
    code_column_mm=12.5,
    number_pt=8,
    steps=_TUBE_STEPS,
    module_mm=3 * DOT_203_MM,
)
