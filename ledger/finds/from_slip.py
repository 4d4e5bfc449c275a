"""The paper slip that the log form was opened from: its number, and whose find it is."""

from dataclasses import dataclass

from ledger.people.models import Member
from ledger.slips.numbers_text import in_address, read_number


@dataclass(frozen=True, slots=True)
class Slip:
    """The finder of a slip and its serial."""

    finder: Member
    serial: int

    def __str__(self) -> str:
        return f"{self.finder.collector_code} {self.serial}"

    @property
    def in_address(self) -> str:
        return in_address(self.finder.collector_code, self.serial)


def slip_of(text: str, by: Member) -> Slip | None:
    """Return the slip of `AT-57` if *by* may type it up: one's own, or anybody's for a leader."""
    read = read_number(text[:40], by.collector_code)
    if read is None:
        return None
    code, serial = read
    finder = (
        by
        if code == by.collector_code
        else Member.objects.filter(collector_code=code, is_active=True).first()
    )
    return Slip(finder, serial) if finder is not None and (finder == by or by.is_leader) else None
