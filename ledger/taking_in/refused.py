"""What is said of a file that cannot be read. Pure."""

from collections.abc import Sequence
from functools import reduce

from ledger.words import later, say


class FileRefused(ValueError):
    """The file is not read; the text says where, what was wrong and what to do. Nothing of it was written."""


NOTHING = later("Nothing was written.")


def and_between(parts: Sequence[str]) -> str:
    """`1 and 3`, `1 and 3 and 5`."""
    return reduce(lambda first, last: say("{first} and {last}", first=first, last=last), parts)
