"""The checks of a find's record: one function from facts to flags. What each flag says stands in the table."""

from collections.abc import Callable, Iterator

from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable
from ledger.record.number_checks import number_flags
from ledger.record.photo_checks import number_in_frame_flags, photo_flags, view_flags
from ledger.record.place_checks import place_flags
from ledger.record.time_checks import clock_flags, date_flags, name_day_flags
from ledger.record.wood_checks import decay_flags, host_flags

Check = Callable[[RecordFacts, Limits, FlagTable], Iterator[Flag]]

CHECKS: tuple[Check, ...] = (
    place_flags,
    date_flags,
    name_day_flags,
    clock_flags,
    photo_flags,
    number_in_frame_flags,
    view_flags,
    host_flags,
    decay_flags,
    number_flags,
)


def record_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> tuple[Flag, ...]:
    """Every reason the record gives for a look, the worst first; the same facts give the same flags in one order."""
    return table.ordered(flag for check in CHECKS for flag in check(facts, limits, table))
