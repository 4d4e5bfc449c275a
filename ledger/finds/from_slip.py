"""The paper slip that the log form was opened from: its number, and whose find it is."""

from dataclasses import dataclass

from ledger.collecting_numbers import CollectingNumber, read_collecting_number
from ledger.people.models import Member


@dataclass(frozen=True, slots=True)
class Slip:
    """The finder of a slip and its serial."""

    finder: Member
    serial: int

    def __str__(self) -> str:
        return str(self._number)

    @property
    def in_address(self) -> str:
        return self._number.in_address

    @property
    def _number(self) -> CollectingNumber:
        return CollectingNumber(self.finder.collector_code, self.serial)


def slip_of(text: str, by: Member) -> Slip | None:
    """Return the slip of `AT-57` if *by* may type it up: one's own, or anybody's for a leader."""
    read = read_collecting_number(text[:40], by.collector_code)
    if read is None or read.share:
        return None
    code, serial, _ = read
    finder = (
        by
        if code == by.collector_code
        else Member.objects.filter(collector_code=code, is_active=True).first()
    )
    return Slip(finder, serial) if finder is not None and (finder == by or by.is_leader) else None
