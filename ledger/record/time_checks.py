"""Is there a date, and can it be one?

Follows VALIDATION_EVENTDATE_NOTEMPTY and VALIDATION_EVENTDATE_INRANGE of TDWG BDQ Core, with the end of the range
drawn at today instead of the end of the year (our judgement: a find cannot be made tomorrow).
"""

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable, Value
from ledger.words import later, say

# When it was seen how far the phone's clock was off.
_WHEN = {"sent": later("sent"), "begun": later("begun")}


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


def name_day_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """Nobody names what has not been found yet: one of the two days is wrong, and both are printed on the packet.

    A find of a day to come is flagged for that day alone.
    """
    named_on, found_on = facts.named_on, facts.found_on
    if named_on is None or found_on is None or found_on > facts.today:
        return
    if named_on < found_on:
        days = {"named_on": named_on.isoformat(), "found_on": found_on.isoformat()}
        yield table.flag("named_before_found", days)


def clock_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """The clock that filled in the day: the phone's, when the form was opened. Its times are left as they are.

    A doubt only where the day itself may come from a clock that was far off; a day amended since is nobody's clock's.
    """
    found = None if facts.day_amended else _clock_of_the_form(facts, limits)
    if found is None or abs(found.off_s) <= limits.clock_off_s:
        return
    is_far = abs(found.off_s) > limits.clock_far_off_s
    doubts_the_day = is_far and found.is_sure and not _is_day_typed(facts)
    way = say("ahead") if found.off_s > 0 else say("behind")
    told: dict[str, Value] = {"off_minutes": abs(found.off_s) // 60, "way": way}
    code = "clock_far_off" if doubts_the_day else "clock_off"
    yield table.flag(code, told, context={"known_when": say(_WHEN[found.known_when])})


@dataclass(frozen=True, slots=True)
class _Clock:
    """How far a clock was ahead, in s; whether that holds for the moment the form was opened; when it was seen."""

    off_s: int
    is_sure: bool
    known_when: str


def _clock_of_the_form(facts: RecordFacts, limits: Limits) -> _Clock | None:
    """The phone's clock when the form was opened, from that at sending; None where it was not off, or nothing is known.

    A form opened later, by the phone, than the find arrived tells of a clock ahead. One opened later than it was sent,
    both by the phone, tells that the clock was set back in between: what it was off by at sending says nothing then. And a
    clock that was ahead at sending only has nothing to show for it in the form: that is not sure.
    """
    if facts.clock_off_s is None:
        return None
    if facts.begun_at is None or facts.arrived_at is None:
        return _Clock(facts.clock_off_s, is_sure=True, known_when="sent")
    ahead_s = round((facts.begun_at - facts.arrived_at).total_seconds())
    if ahead_s > limits.clock_off_s:
        if facts.clock_off_s > limits.clock_off_s:
            return _Clock(facts.clock_off_s, is_sure=True, known_when="sent")
        return _Clock(ahead_s, is_sure=True, known_when="begun")
    if ahead_s > facts.clock_off_s + limits.clock_off_s:
        return None
    return _Clock(facts.clock_off_s, is_sure=facts.clock_off_s < 0, known_when="sent")


def _is_day_typed(facts: RecordFacts) -> bool:
    """Whether the day of the find is another one than the phone showed when the form was opened, in any zone."""
    if facts.found_on is None or facts.begun_at is None:
        return False
    day = facts.begun_at.date()
    return abs((facts.found_on - day).days) > 1
