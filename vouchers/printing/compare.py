"""What differs between a label as it was printed last and as it would be printed now, line by line. Pure."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.words import later, say
from vouchers.labels.content import line_word
from vouchers.labels.prepare import Lines

# Lines that tell where a find was made, and those in which people write freely and may have told it.
PLACE_WORDS = frozenset({"Place", "At", "Near", "Permit", "Permission", "Det.", "Cut", "For", "Result"})
KEPT_BACK = later("kept back")
# Lines that have no word on the label itself, or one that is cut short, as a person calls them.
_CALLED = {
    "Head": later("head"),
    "Foot": later("foot"),
    "Accepted": later("accepted name"),
    "Code": later("code"),
    "Earlier": later("earlier name"),
    "Coll.": later("Coll"),
    "Det.": later("Det"),
}


@dataclass(frozen=True, slots=True)
class Difference:
    """One line that differs; empty where the label has no such line."""

    word: str
    was: str
    now: str

    @property
    def called(self) -> str:
        return say(_CALLED[self.word]) if self.word in _CALLED else line_word(self.word)


def differences(was: Lines, now: Lines, *, exact: bool = True) -> tuple[Difference, ...]:
    """The lines that differ, in the order of the label now, those that are gone after them.

    Not `exact`: whoever reads this may not know the place, so what was printed of it is kept back.
    """
    before, after = dict(was), dict(now)
    words = dict.fromkeys([*after, *before])
    differ = [word for word in words if before.get(word, "") != after.get(word, "")]
    return tuple(
        Difference(
            word,
            KEPT_BACK if not exact and word in PLACE_WORDS else before.get(word, ""),
            after.get(word, ""),
        )
        for word in differ
    )


def digest(kind: str, lines: Sequence[Sequence[str]]) -> str:
    """SHA-256 of the kind of label and its lines: equal where the same was printed, whatever the paper."""
    told = json.dumps([kind, [list(line) for line in lines]], ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()


def lines_of(stored: Sequence[Sequence[str]]) -> Lines:
    """The lines as they come back from a row."""
    return tuple((word, text) for word, text in stored)
