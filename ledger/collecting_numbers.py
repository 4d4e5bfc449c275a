"""Collecting numbers: the one home of their shape, as people write them and as an address holds them. Pure.

A finder's code, two to six letters, and a serial: `AT 57`. A share of a mixed collection has a letter more: `AT 57A`.
`static/js/phone/collecting_number.js` says the shape in an address again.
"""

import re
from typing import NamedTuple

CODE = "[A-Z]{2,6}"
SERIAL = "[0-9]{1,10}"
# Largest serial that the form takes: one given beyond it could never be sent with its find.
MOST_SERIAL = 2_000_000_000

_WRITTEN = re.compile(rf"(?:({CODE})[\s\-./]*)?({SERIAL})\s?([A-Z]{{0,2}})", re.IGNORECASE | re.ASCII)


class CollectingNumber(NamedTuple):
    """`share` is the letter of a share, empty for the whole."""

    code: str
    serial: int
    share: str = ""

    def __str__(self) -> str:
        return f"{self.code} {self.serial}{self.share}"

    @property
    def in_address(self) -> str:
        """As the address of its entry holds it: `AT-57`."""
        return f"{self.code}-{self.serial}{self.share}"


def read_collecting_number(text: str, own_code: str = "") -> CollectingNumber | None:
    """Read `AT 57`, `at-57`, `AT57`, `AT 57A`; a figure alone is of `own_code`, if that is given. None for anything else."""
    found = _WRITTEN.fullmatch(text.strip())
    if found is None or not (found[1] or own_code) or not 1 <= int(found[2]) <= MOST_SERIAL:
        return None
    return CollectingNumber((found[1] or own_code).upper(), int(found[2]), found[3].upper())
