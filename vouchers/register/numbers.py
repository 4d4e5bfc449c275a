"""Shape and order of accession numbers. Pure."""

import re
from dataclasses import dataclass

_SHAPE = re.compile(r"^\s*([A-Za-z]{2,8})[\s-]*(\d{4})[\s/-]+(\d{1,6})\s*$")

_YEAR_AND_SERIAL = re.compile(r"^\s*(\d{4})[\s/-]+(\d{1,6})\s*$")


class AccessionNumberError(ValueError):
    """The text is no accession number; the message shows the shape of one."""


@dataclass(frozen=True, slots=True, order=True)
class AccessionNumber:
    """A club's prefix, a year and a serial that runs from 1 without a gap: `TFG 2026-0118`."""

    prefix: str
    year: int
    serial: int

    def __str__(self) -> str:
        # Four places keep a year's numbers in order as text; a fifth is taken when it is needed.
        return f"{self.prefix} {self.year}-{self.serial:04d}"


def parse_accession_number(text: str) -> AccessionNumber:
    """Read a number as people write it: `TFG 2026-0118`, `tfg2026/118`. Raises AccessionNumberError."""
    found = _SHAPE.match(text)
    if not found or int(found[3]) == 0:
        raise AccessionNumberError(
            f"{text.strip()[:40]!r} is not an accession number. One looks like TFG 2026-0118: prefix, year, serial from 1."
        )
    return AccessionNumber(found[1].upper(), int(found[2]), int(found[3]))


def read_year_and_serial(text: str) -> tuple[int, int] | None:
    """Read a number without its prefix: `2026-30` is (2026, 30). None if it is not one."""
    found = _YEAR_AND_SERIAL.match(text)
    return (int(found[1]), int(found[2])) if found else None
