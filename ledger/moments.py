"""Stored moments in words, as days and times of the ledger's own zone, the one its pages are in."""

from datetime import date, datetime

from django.utils import timezone

from ledger import days


def local_day(moment: datetime) -> date:
    return timezone.localtime(moment).date()


def day_of(moment: datetime) -> str:
    """Return `3 October 2026`."""
    return days.day_text(local_day(moment))


def short_day_of(moment: datetime) -> str:
    """Return `3 Oct 2026`."""
    return days.short_day_text(local_day(moment))


def moment_text(moment: datetime) -> str:
    """Return `3 October 2026, 14:05`."""
    return days.time_text(timezone.localtime(moment))


def year_of(moment: datetime) -> int:
    """The year in which a number is given: on New Year's morning that of the new year."""
    return timezone.localtime(moment).year
