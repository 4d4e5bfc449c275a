"""What an annotation slip says of a piece that was cut from a specimen: what, by whom, when, why, and by whose leave."""

from __future__ import annotations

from dataclasses import dataclass

from ledger.paper.text import Pieces, clean
from ledger.words import later, say, together
from vouchers.labels.content import LabelError, Line


@dataclass(frozen=True, slots=True, kw_only=True)
class AnnotationSlip:
    """The slip that stays in the packet after something was cut from it.

    `cut` says what and, of another part than the packet, from which. `why` may name who asked for it. `leave` is the number
    of the leave, `result` what came of it so far. `name` is what the specimen was called when the slip was made, with its
    author and whose opinion that is: once the piece is sequenced it may be another. Collector, collecting number and date
    lead back to the gathering if slip and packet are parted.
    """

    accession_number: str
    cut: str
    cut_by: str
    cut_on: str
    why: str
    institution: str = ""
    leave: str = ""
    result: str = ""
    name: Pieces = ()
    authority: str = ""
    determined_by: str = ""
    determined_on: str = ""
    collector: str = ""
    collecting_number: str = ""
    collected_on: str = ""

    def __post_init__(self) -> None:
        told = {later("its accession number"): self.accession_number, later("what was cut"): self.cut}
        told |= {
            later("who cut it"): self.cut_by,
            later("the day"): self.cut_on,
            later("the reason"): self.why,
        }
        missing: list[str] = [what for what, text in told.items() if not clean(text)]
        if missing:
            raise LabelError(
                say(
                    "An annotation slip lacks {missing}; nothing was printed. Say what was cut, who cut it, when and why.",
                    missing=together(missing, ", "),
                )
            )

    def lines(self) -> tuple[Line, ...]:
        """The ruled lines, the empty ones left out."""
        made = (
            ("Cut", clean(self.cut)),
            (later("By"), f"{clean(self.cut_by)}, {clean(self.cut_on)}"),
            ("For", clean(self.why)),
            ("Leave", clean(self.leave)),
            ("Result", clean(self.result)),
        )
        return tuple(Line(word, ((text, False),)) for word, text in made if text)
