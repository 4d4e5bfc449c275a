"""Numbers of loans, borrowings, exchanges and leaves: a letter for the series, the year, a serial without a gap. Pure.

    L2026-003   a loan to somebody        X2026-001   a sending in exchange
    B2026-001   a loan from somebody      C2026-004   a leave to cut

One letter stands before the year, where an accession number has two or more: neither is ever read as the other.
"""

import re
from dataclasses import dataclass

LOAN, BORROWING, SENDING, LEAVE = "L", "B", "X", "C"
_SHAPE = re.compile(r"\s*([A-Za-z])[\s-]*(\d{4})[\s/-]+(\d{1,6})\s*")


@dataclass(frozen=True, slots=True, order=True)
class PaperNumber:
    """What stands at the head of the paper: `L2026-003`."""

    letter: str
    year: int
    serial: int

    def __str__(self) -> str:
        return f"{self.letter}{self.year}-{self.serial:03d}"


def read_paper_number(text: str, letter: str) -> PaperNumber | None:
    """Read a number of that series as people write it: `L2026-003`, `l 2026/3`. None if it is not one."""
    found = _SHAPE.fullmatch(text)
    if found is None or found[1].upper() != letter or int(found[3]) == 0:
        return None
    return PaperNumber(letter, int(found[2]), int(found[3]))
