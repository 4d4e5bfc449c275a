"""A photo of a clock: how far the camera's own clock was off, and in which words."""

from datetime import datetime, timedelta

from ledger.days import day_text, time_text
from ledger.words import Said, say, say_n, together

# Clocks are ahead of universal time by this much at most, somewhere on Earth.
FARTHEST_AHEAD = timedelta(hours=14)
# A camera that was never set begins in some year of its making; beyond this the date itself was read wrong.
MOST_OFF = timedelta(days=366 * 30)


class ClockRefused(ValueError):
    """The sentence says what cannot be and what to do."""


def shift_of(shown: datetime, camera: datetime, *, came_at: datetime | None = None) -> timedelta:
    """What must be added to the camera's clock: the time that the photographed clock shows, less the camera's for it.

    Both are wall clocks of the same place, without zone. `came_at`: when the photo reached the ledger, UTC; no clock on it
    shows a later time. Raises ClockRefused for that, and for more than MOST_OFF.
    """
    if came_at is not None and shown.replace(tzinfo=None) > came_at.replace(tzinfo=None) + FARTHEST_AHEAD:
        raise ClockRefused(
            say(
                "{shown} is after the photo came to the ledger, {came_on}. "
                "Nothing was shifted; look at the date again.",
                shown=time_text(shown),
                came_on=day_text(came_at.date()),
            )
        )
    shift = shown.replace(tzinfo=None) - camera.replace(tzinfo=None)
    if abs(shift) > MOST_OFF:
        raise ClockRefused(
            say(
                "The clock would be {years} years off. Nothing was shifted; look at the year again.",
                years=abs(shift).days // 365,
            )
        )
    return shift


def said(shift: timedelta) -> Said:
    """`1 h 3 min behind`, `9 years 40 days ahead`, `right to the second`; the camera's clock against the true one."""
    seconds = round(abs(shift.total_seconds()))
    if not seconds:
        return say("right to the second")
    days, rest = divmod(seconds, 86_400)
    years, days = divmod(days, 365)
    hours, rest = divmod(rest, 3600)
    minutes, seconds = divmod(rest, 60)
    named = (
        *((years, say_n("{n} year", "{n} years", years)), (days, say_n("{n} day", "{n} days", days))),
        *((hours, f"{hours} h"), (minutes, f"{minutes} min"), (seconds, f"{seconds} s")),
    )
    time = together([words for number, words in named if number][:2])
    return say("{time} behind", time=time) if shift > timedelta(0) else say("{time} ahead", time=time)
