"""Days and times in words, with the month in letters, which no country reads the other way round. Pure.

The one home of how they are told. A moment that is stored in UTC is told by `ledger/moments.py`, which knows the ledger's
own time; given here it is refused, since its day in UTC may be another than the pages show.
"""

from datetime import date, datetime

from ledger.words import Later, Said, later, say

_MONTHS = (
    *(later("January"), later("February"), later("March"), later("April"), later("May"), later("June")),
    *(later("July"), later("August"), later("September"), later("October"), later("November")),
    later("December"),
)
_SHORT_MONTHS = (
    *(later("Jan"), later("Feb"), later("Mar"), later("Apr"), later("May"), later("Jun"), later("Jul")),
    *(later("Aug"), later("Sep"), later("Oct"), later("Nov"), later("Dec")),
)


def day_text(day: date) -> Said:
    """Return `3 October 2026`."""
    return say("{day} {month} {year}", day=_day(day), month=_MONTHS[day.month - 1], year=day.year)


def short_day_text(day: date | None) -> Said:
    """Return `3 Oct 2026`, as labels and lists have room for it; nothing where there is no day."""
    if not day:
        return Said("")
    month = _SHORT_MONTHS[day.month - 1]
    return say("{day} {month} {year}", day=_day(day), month=month, year=day.year)


def time_text(at: datetime) -> Said:
    """Return `3 October 2026, 14:05`, of a time on the clock of whoever reads it."""
    return say("{day}, {time}", day=day_text(at.date()), time=f"{at:%H:%M}")


def short_time_text(at: datetime) -> Said:
    """Return `3 Oct 2026, 14:05`."""
    return say("{day}, {time}", day=short_day_text(at.date()), time=f"{at:%H:%M}")


def month_text(month: int) -> Later:
    """Return `October`, of a month from 1 to 12."""
    return _MONTHS[month - 1]


def short_month_text(month: int) -> Later:
    """Return `Oct`."""
    return _SHORT_MONTHS[month - 1]


def _day(day: date) -> int:
    if isinstance(day, datetime):
        raise TypeError("A moment is no day. Say whose day it is: ledger/moments.py tells the ledger's own.")
    return day.day
