"""The papers there are, in millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from ledger.words import later


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper size in portrait."""

    code: str
    title: str
    width_mm: float
    height_mm: float


A4 = Paper("a4", "A4", 210.0, 297.0)
US_LETTER = Paper("us-letter", later("US letter"), 215.9, 279.4)
PAPERS = MappingProxyType({paper.code: paper for paper in (A4, US_LETTER)})
