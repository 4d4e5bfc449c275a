"""Days and times in words, with the month in letters, which no country reads the other way round. Pure.

The one home of how they are told. A moment that is stored in UTC is told by `ledger/moments.py`, which knows the ledger's
own time; given here it is refused, since its day in UTC may be another than the pages show.
"""

from datetime import date, datetime


def day_text(day: date) -> str:
    """Return `3 October 2026`."""
    return f"{_day(day)} {day:%B %Y}"


def short_day_text(day: date | None) -> str:
    """Return `3 Oct 2026`, as labels and lists have room for it; nothing where there is no day."""
    return f"{_day(day)} {day:%b %Y}" if day else ""


def time_text(at: datetime) -> str:
    """Return `3 October 2026, 14:05`, of a time on the clock of whoever reads it."""
    return f"{day_text(at.date())}, {at:%H:%M}"


def short_time_text(at: datetime) -> str:
    """Return `3 Oct 2026, 14:05`."""
    return f"{short_day_text(at.date())}, {at:%H:%M}"


def _day(day: date) -> int:
    if isinstance(day, datetime):
        raise TypeError("A moment is no day. Say whose day it is: ledger/moments.py tells the ledger's own.")
    return day.day
