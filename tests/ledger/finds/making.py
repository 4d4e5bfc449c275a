"""A reference and entries for the tests of finds."""

from typing import Any

from django.utils import timezone

from ledger.finds.entries import FindEntry, NameGiven, ReadingEntry
from ledger.taxa.models import Taxon

FRESH_FIND: dict[str, Any] = {
    "found_on": timezone.datetime(2026, 10, 3).date(),
    "latitude": 51.23456,
    "longitude": -2.34567,
    "uncertainty_m": 12.0,
    "position_source": "phone",
    "specimen_state": "fresh",
    "specimen_age": "mature",
}


def numbers(trait: str, *values: float, unit: str = "mm", **more: Any) -> ReadingEntry:
    return ReadingEntry(trait=trait, values=values, unit=unit, **more)


def states(trait: str, *codes: str, **more: Any) -> ReadingEntry:
    return ReadingEntry(trait=trait, states=codes, **more)


def entry(*readings: ReadingEntry, name: str = "Trametes versicolor", **record: Any) -> FindEntry:
    """A find of *Trametes versicolor* with nothing odd about it but what the test says."""
    given = NameGiven(typed=name, taxon=Taxon.objects.filter(name=name).first())
    return FindEntry(record={**FRESH_FIND, **record}, readings=readings, name=given)


TWELVE = (
    states("underside", "pores"),
    states("flexibility", "flexible"),
    states("pore_surface_colour", "white"),
    states("margin_colour", "white"),
    states("cap_surface", "velvety"),
    states("zonation", "zoned"),
    numbers("cap_width", 38.0, 52.0, 61.0, resolution=1.0),
    numbers("cap_length", 24.0, 30.0),
    numbers("pores_per_mm", 4.0, 4.0, 5.0, unit="1/mm"),
    states("host", "hardwood"),
    states("substrate_state", "fallen log"),
    states("rot", "white rot"),
)
