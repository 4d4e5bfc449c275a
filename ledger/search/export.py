"""Finds as a table for a spreadsheet. A file leaves the club: places and people as they may be told outside.

Whoever asks for it gets the same file: a sensitive place as its cell, a member by name only if they agreed. No cell ever
becomes a formula.
"""

import csv
from collections.abc import Iterable, Iterator
from typing import Any

from ledger.exchange.formulas import guarded
from ledger.exchange.people import PeopleOut
from ledger.finds import access
from ledger.finds.models import Find
from ledger.handing_on.named import people_leaving

COLUMNS = (
    "Collecting number",
    "Accession number",
    "Name",
    "Named by",
    "Named on",
    "Found on",
    "Found by",
    "Place",
    "Latitude",
    "Longitude",
    "Uncertainty m",
    "Place told in cells of degrees",
    "Region",
    "Country",
    "Foray",
    "Host",
    "Material kept",
    "Standing in the ledger",
    "Open flags",
    "Identity",
)


class _Line:
    """What csv writes goes out as it is."""

    def write(self, text: str) -> str:
        return text


def csv_lines(finds: Iterable[Find]) -> Iterator[str]:
    """The table line by line; the mark at its head lets every spreadsheet read it as UTF-8."""
    writer = csv.writer(_Line())
    people = people_leaving()
    yield "\ufeff"
    yield writer.writerow(COLUMNS)
    for find in finds:
        yield writer.writerow([guarded(cell) for cell in _cells(find, people)])


def _cells(find: Find, people: PeopleOut) -> list[str]:
    place, named = access.place_leaving(find), find.current_determination
    is_named = named is not None and bool(named.name_typed)
    return [
        find.collecting_number,
        find.accession_number,
        named.name_typed if named else "",
        people.named(named.determiner_id, named.determiner_name).name if named and is_named else "",
        _text(named.determined_on if named else None),
        _text(find.found_on),
        people.named(find.finder_id, find.found_by).name,
        place.locality,
        _text(place.latitude),
        _text(place.longitude),
        _text(place.uncertainty_m),
        "" if place.step_deg is None else f"{place.step_deg:g}",
        place.region,
        place.country,
        place.foray,
        find.host,
        "yes" if find.kept else "no",
        find.status,
        str(find.open_flags),
        str(find.pk),
    ]


def _text(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.10g}"
    return "" if value is None else str(value)
