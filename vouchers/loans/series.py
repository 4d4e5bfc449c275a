"""The next number of a series, in the caller's transaction."""

from datetime import datetime

from ledger.moments import year_of
from vouchers.loans.models import SeriesYear


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
