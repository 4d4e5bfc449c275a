"""The next number of a series, in the caller's transaction."""

from datetime import datetime

from django.utils import timezone

from vouchers.loans.models import SeriesYear


def year_of(now: datetime) -> int:
    """The year by the ledger's own clock: a loan made on New Year's morning is of the new year."""
    return timezone.localtime(now).year


def open_series(letter: str, now: datetime) -> None:
    """Make the counter where there is none: before and outside the transaction that locks it, as with the register's."""
    SeriesYear.objects.get_or_create(letter=letter, year=year_of(now))


def next_number(letter: str, now: datetime) -> dict[str, int]:
    """Lock the counter until the caller's transaction ends, and return the year and serial of a new row.

    The first lock to take. The number exists exactly when the row does.
    """
    counter = SeriesYear.objects.select_for_update().get(letter=letter, year=year_of(now))
    counter.last_serial += 1
    counter.save(update_fields=["last_serial"])
    return {"year": counter.year, "serial": counter.last_serial}
