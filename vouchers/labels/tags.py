"""What the small ones say: tags of trays and specimens on their way through the drier, labels of places and of tubes."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.paper.text import Pieces, clean
from ledger.words import say
from vouchers.labels.content import LabelError, Line


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """A label that is read from a step away: a code with its text below, and beside it a title in large type.

    `number` is what the code holds. `lines` are plain lines under the title, each with the word by which a refusal
    names it.
    """

    number: str
    title: Pieces
    institution: str = ""
    lines: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        if not clean(self.number) or not any(clean(text) for text, _ in self.title):
            raise LabelError(
                say("A tag needs its number and a title; nothing was printed. Say what it is for.")
            )

    def told(self) -> tuple[Line, ...]:
        """The lines under the title, the empty ones left out."""
        return tuple(Line(word, ((clean(text), False),)) for word, text in self.lines if clean(text))


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeLabel:
    """The label of a tissue tube or another small part: its code and the same number in letters.

    `accession_number` is that of the voucher, `suffix` the part's own, T1: the code holds both. The collecting number
    is the second thread back to the gathering.
    """

    accession_number: str
    suffix: str
    collecting_number: str = ""

    def __post_init__(self) -> None:
        if not clean(self.accession_number) or not clean(self.suffix):
            raise LabelError(
                say(
                    "The label of a part needs the accession number and the suffix of the part; nothing was printed. "
                    "Take the part on the record first."
                )
            )

    @property
    def number(self) -> str:
        """What the code holds: `TFG 2026-0118 T1`."""
        return f"{clean(self.accession_number)} {clean(self.suffix)}"
