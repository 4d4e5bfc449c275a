"""Collecting numbers as people write them, and as an address holds them."""

import re

from ledger.phone.numbers import MOST_SERIAL

_WRITTEN = re.compile(r"([A-Za-z]{2,6})?[\s\-./]*([0-9]{1,10})")


def read_number(text: str, own_code: str) -> tuple[str, int] | None:
    """Return code and serial of `AT 57`, `at-57`, `AT57`; a figure alone is of one's own code. None for anything else."""
    found = _WRITTEN.fullmatch(text.strip())
    if found is None or not 1 <= int(found[2]) <= MOST_SERIAL:
        return None
    return (found[1] or own_code).upper(), int(found[2])


def in_address(code: str, serial: int) -> str:
    """Return the number as it stands in the address of its entry: `AT-57`."""
    return f"{code}-{serial}"
