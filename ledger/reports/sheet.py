"""A report in plain values: what its page shows and its PDF prints, so that the two never differ. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import ClassVar, TypeAlias

from ledger.paper.text import Pieces
from ledger.words import say

# Rows of a long table in one PDF: a thousand take some 3 s and 100 MB to set, and a file of more is slow to open.
ROWS_IN_A_PART = 1000
ROWS_ON_A_PAGE = 500


@dataclass(frozen=True, slots=True)
class Cell:
    """A text in pieces (Latin names lean), and lines beneath it in small letters."""

    text: Pieces
    under: tuple[str, ...] = ()
    is_figures: bool = False


def cell(text: str | int, *under: str, is_figures: bool = False) -> Cell:
    """A cell of upright text; lines that are empty are left out. A number stands as figures do."""
    is_figures = is_figures or isinstance(text, int)
    return Cell(((str(text), False),), tuple(line for line in under if line), is_figures)


@dataclass(frozen=True, slots=True)
class Column:
    """`share`: its part of the width beside the others'; a column of figures stands to the right and takes what it needs."""

    word: str
    share: float = 1.0
    is_figures: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Words with one line or more each."""

    kind: ClassVar[str] = "facts"
    heading: str
    rows: Sequence[tuple[str, Sequence[str]]]


@dataclass(frozen=True, slots=True)
class Table:
    """`said` stands above the rows; `empty` in their place where there are none."""

    kind: ClassVar[str] = "table"
    heading: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]
    empty: str
    said: Sequence[str] = ()

    @property
    def is_of_figures(self) -> bool:
        """Whether it is a word with figures, narrow enough for a phone as it is; others are told there row by row."""
        return all(column.is_figures for column in self.columns[1:])

    @property
    def labelled(self) -> list[list[tuple[str, Cell]]]:
        """The rows, each cell with the word of its column; a cell with nothing in it has none."""
        words = [column.word for column in self.columns]
        return [
            [
                (word if any(text for text, _ in one.text) else "", one)
                for word, one in zip(words, row, strict=True)
            ]
            for row in self.rows
        ]


@dataclass(frozen=True, slots=True)
class Bar:
    """A week of the year with its finds: `height` and `before`, that of the year beside it, in per cent of the tallest."""

    week: int
    n: int
    height: float
    before: float

    # As a screen draws it, in per cent of a frame of which the lowest tenth is for the months' letters.
    wide: ClassVar[float] = round(50 / 53, 3)
    before_wide: ClassVar[float] = round(84 / 53, 3)

    @property
    def x(self) -> float:
        return round((self.week - 1 + 0.25) * 100 / 53, 3)

    @property
    def before_x(self) -> float:
        return round((self.week - 1 + 0.08) * 100 / 53, 3)

    @property
    def tall(self) -> float:
        return round(self.height * 0.9, 2)

    @property
    def y(self) -> float:
        return round(90 - self.tall, 2)

    @property
    def before_tall(self) -> float:
        return round(self.before * 0.9, 2)

    @property
    def before_y(self) -> float:
        return round(90 - self.before_tall, 2)


@dataclass(frozen=True, slots=True)
class Weeks:
    """Finds by week. `said` tells the drawing in words; `months` are their letters with the week they begin in."""

    kind: ClassVar[str] = "weeks"
    heading: str
    bars: Sequence[Bar]
    months: Sequence[tuple[str, float]]
    most: int
    said: str

    @property
    def letters(self) -> list[tuple[str, float]]:
        """Each month's, and where its line stands, in per cent."""
        return [(name, round(at * 100 / 53, 3)) for name, at in self.months]


@dataclass(frozen=True, slots=True)
class Words:
    kind: ClassVar[str] = "words"
    heading: str
    lines: Sequence[str]


Block: TypeAlias = Facts | Table | Weeks | Words


@dataclass(frozen=True, slots=True)
class Report:
    """`what` is the kind of report, `of` what it is about; `warning` stands in a frame before all else.

    `made_by`: who made it, where that is told.

    `part` of `parts`: where it is too long for one file.
    """

    what: str
    of: str
    club: str
    made: str  # the day
    blocks: Sequence[Block]
    cautions: Sequence[str]
    warning: str = ""
    part: int = 1
    parts: int = 1
    filed_as: str = field(default="report")
    made_by: str = ""

    @property
    def made_text(self) -> str:
        """Return `made 26 November 2026 by Ada Oak`."""
        if not self.made_by:
            return say("made {day}", day=self.made)
        return say("made {day} by {who}", day=self.made, who=self.made_by)


def parts_of(report: Report, rows: int = ROWS_IN_A_PART) -> int:
    """In how many files it is printed."""
    return max(1, -(-sum(len(block.rows) for block in report.blocks if isinstance(block, Table)) // rows))


def part_of(report: Report, part: int, rows: int = ROWS_IN_A_PART) -> Report:
    """The part of a report, counted from 1: its rows in their order, cut every `rows`.

    What is no table stands in the part in which the row before it stands.
    """
    first, last = (part - 1) * rows, part * rows
    at, kept = 0, list[Block]()
    for block in report.blocks:
        if not isinstance(block, Table) or not block.rows:
            if first <= max(at - 1, 0) < last:
                kept.append(block)
            continue
        within = block.rows[max(first - at, 0) : max(last - at, 0)]
        if within:
            heading = block.heading if first <= at else say("{heading}, continued", heading=block.heading)
            kept.append(replace(block, rows=within, heading=heading))
        at += len(block.rows)
    return replace(report, blocks=kept, part=part, parts=parts_of(report, rows))


def for_page(report: Report, rows: int = ROWS_ON_A_PAGE) -> Report:
    """The report as a screen shows it: of a longer table its first rows, which it says."""
    return replace(report, blocks=[_cut(block, rows) for block in report.blocks])


def _cut(block: Block, rows: int) -> Block:
    if not isinstance(block, Table) or len(block.rows) <= rows:
        return block
    said = say("Here are the first {rows} of {n} rows. The PDF has them all.", rows=rows, n=len(block.rows))
    return replace(block, rows=block.rows[:rows], said=[*block.said, said])
