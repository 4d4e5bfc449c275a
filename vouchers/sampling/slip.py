"""What an annotation slip says of a cut: plain values, for the labels."""

from dataclasses import dataclass
from datetime import date

from ledger.words import say
from vouchers.sampling.models import SamplingLeave
from vouchers.sampling.purposes import PURPOSES


@dataclass(frozen=True, slots=True)
class CutNote:
    """What was cut, when, by whom, for whom and why, from which `part`, under which `leave`.

    `why` is the `purpose` of the table and what was written of it.
    """

    accession_number: str
    part: str
    leave: str
    what: str
    cut_on: date
    cut_by: str
    asked_by: str
    purpose: str
    why: str
    result: str


def cut_note(leave: SamplingLeave) -> CutNote | None:
    """The note of that leave; None while nothing was cut under it. `leave` comes with its part and voucher."""
    if leave.cut_on is None:
        return None
    return CutNote(
        accession_number=str(leave.part.voucher),
        part=leave.part.number,
        leave=str(leave),
        what=leave.cut_what,
        cut_on=leave.cut_on,
        cut_by=leave.cut_by,
        asked_by=", ".join(filter(None, (leave.person, leave.institution))),
        purpose=say(PURPOSES[leave.purpose]),
        why=f"{PURPOSES[leave.purpose]}: {leave.purpose_words}",
        result=leave.result,
    )
