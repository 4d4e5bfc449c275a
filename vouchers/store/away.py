"""Which parts are out of the house, asked of the rooms that send them out.

Such a room has a module `away.py` with `away_times(part_ids, since) -> {part id: [Away, ...]}`: times that are not over, or
were over after *since* (None: all that are not over). It is named in ROOMS; a test names one that is not. What leaves for
good, as in exchange, is a part that has ended and is away no more.
"""

from collections.abc import Iterable
from datetime import datetime
from importlib import import_module

from vouchers.parts.models import Part
from vouchers.store.absence import Away

ROOMS = ("loans",)


def away_times(part_ids: Iterable[int], since: datetime | None = None) -> dict[int, tuple[Away, ...]]:
    """The times away of these parts, as far as they are not over or were not over at *since*."""
    keys = list(part_ids)
    found: dict[int, list[Away]] = {}
    # Imported here: those rooms lean on this one.
    for room in ROOMS:
        for part, times in import_module(f"vouchers.{room}.away").away_times(keys, since).items():
            found.setdefault(part, []).extend(times)
    return {part: tuple(times) for part, times in found.items()}


def away_now(parts: Iterable[Part]) -> dict[int, str]:
    """Part -> where it is, for those of *parts* that are out of the house."""
    return {
        part: next(one.words for one in times if one.until is None)
        for part, times in away_times([part.pk for part in parts]).items()
        if any(one.until is None for one in times)
    }
