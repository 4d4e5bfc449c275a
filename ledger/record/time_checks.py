"""Is there a date, and can it be one?

Follows VALIDATION_EVENTDATE_NOTEMPTY and VALIDATION_EVENTDATE_INRANGE of TDWG BDQ Core, with the end of the range
drawn at today instead of the end of the year (our judgement: a find cannot be made tomorrow).
"""

from collections.abc import Iterator

from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable


def date_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """Missing, later than today, earlier than can be. A date has no error to allow for: both ends are exact."""
    found_on = facts.found_on
    if found_on is None:
        dated = sum(photo.taken_at is not None for photo in facts.photos)
        yield table.flag("date_missing", {"photos": dated})
    elif found_on > facts.today:
        yield table.flag(
            "date_future",
            {"found_on": found_on.isoformat()},
            # Not among the numbers: tomorrow it would be one day less, and a settled flag would come back.
            context={
                "ahead_minutes": (found_on - facts.today).days * 24 * 60,
                "today": facts.today.isoformat(),
            },
        )
    elif found_on < limits.earliest_found_on:
        told = {"found_on": found_on.isoformat(), "earliest": limits.earliest_found_on.isoformat()}
        yield table.flag("date_too_early", told)


def clock_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """The clock of the phone that sent it, against the ledger's at that moment. Its times are left as they are."""
    off = facts.clock_off_s
    if off is None or abs(off) <= limits.clock_off_s:
        return
    code = "clock_far_off" if abs(off) > limits.clock_far_off_s else "clock_off"
    told = {"off_minutes": abs(off) // 60, "way": "ahead" if off > 0 else "behind"}
    yield table.flag(code, told)
