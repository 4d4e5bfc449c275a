"""What one published source says of one trait of one taxon, and whether it holds for a specimen's condition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

CONDITIONS = ("any", "fresh", "dry", "young", "old")

Judges = Literal["yes", "maybe", "no"]


@dataclass(frozen=True, slots=True)
class TaxonEntry:
    """A taxon of the reference with its accepted name."""

    name: str
    authority: str = ""
    family: str = ""
    order: str = ""
    vernacular: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    note: str = ""
    # Names that the club has entered, in whatever language, those it no longer uses too: all of them are understood.
    local: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was read.

    `kind` is e.g. `handbook`, `paper`, `memory` (from memory, no page behind it) or `common practice` (the
    trade's own, no published source). `voice` is the work a source belongs to: two sources of one voice are not
    independent of each other. Empty means the source is its own voice.
    """

    id: str
    citation: str
    url: str = ""
    year: str = ""
    kind: str = ""
    voice: str = ""


@dataclass(frozen=True, slots=True)
class DocumentedRange:
    """`(low_extreme-) low - high (-high_extreme)` in `unit`, or the states, for one condition, by one source.

    `doubtful`: the figure is kept but does not by itself vouch for a reading; what only doubtful rows allow comes
    out as `edge`. `binding`: a house rule; a reading beyond it is flagged even where a book allows it.
    """

    taxon: str
    trait: str
    low_extreme: float | None = None
    low: float | None = None
    high: float | None = None
    high_extreme: float | None = None
    unit: str | None = None
    states: frozenset[str] = frozenset()
    condition: str = "any"
    source_id: str = ""
    note: str = ""
    doubtful: bool = False
    binding: bool = False

    @property
    def lowest(self) -> float | None:
        """The outermost lower bound this source gives, None if it does not judge that side."""
        return self.low if self.low_extreme is None else self.low_extreme

    @property
    def highest(self) -> float | None:
        """The outermost upper bound this source gives, None if it does not judge that side."""
        return self.high if self.high_extreme is None else self.high_extreme


def judges(condition: str, state: str | None, age: str | None) -> Judges:
    """Whether a row documented for `condition` judges a reading made in that state, at that age.

    `maybe` is for what was not written down, or is mixed: such a row can excuse a reading, never speak against it.
    A row for fresh material means a living, fresh cap: one known to be old is not judged by it. A reading whose age
    was not noted counts as fresh when its state says so. Nothing is converted from fresh to dry or back.
    """
    if condition == "any":
        return "yes"
    if condition == "fresh":
        if state not in (None, "fresh") or age == "old":
            return "no"
        return "yes" if state == "fresh" and age != "mixed" else "maybe"
    if condition == "dry":
        if state is None:
            return "maybe"
        return "yes" if state in ("air-dry", "oven-dry") else "no"
    if age == condition:
        return "yes"
    return "maybe" if age in (None, "mixed") else "no"


def months_of(low: int, high: int) -> frozenset[int]:
    """The months from `low` to `high`, both included; 9 to 3 wraps over the new year."""
    span = (high - low) % 12
    return frozenset((low - 1 + step) % 12 + 1 for step in range(span + 1))
