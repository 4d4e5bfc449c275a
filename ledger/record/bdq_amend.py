"""BDQ Core amendments: terms filled in from others where there is one reading only. Nothing typed is overwritten."""

import re

from ledger.places.errors import AmbiguousPlace, PlaceError
from ledger.places.pairs import Pair, pair_of
from ledger.places.typed_text import tidy
from ledger.record.bdq_place import HIGHEST, LATITUDE, LONGITUDE, LOWEST
from ledger.record.bdq_terms import (
    AMENDED,
    UNCHANGED,
    UNMET,
    BdqTest,
    Parameters,
    Record,
    Response,
    filled,
    has,
    integer,
)
from ledger.record.bdq_time import DAY, EVENT_DATE, MONTH, YEAR
from ledger.record.iso8601 import parse_span
from ledger.record.verbatim_date import read_date

STATUS = "dwc:occurrenceStatus"
_FOOT_IN_METRES = 0.3048  # exact, by definition (international foot, 1959)
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d\d?)[-/.](\d\d?)", re.ASCII)
_LONGITUDE_FIRST = re.compile(r"([+-]?\d{2,3}(?:\.\d+)?)\s*[,;]\s*([+-]?\d{1,2}(?:\.\d+)?)", re.ASCII)
_ELEVATION = re.compile(
    r"(?:(?:min|max)(?:imum)?\.?\s*)?(?:(?:elev|alt)(?:ation|itude)?\.?:?\s*)?"
    r"(-?\d{1,5}(?:\.\d+)?)(?:\s*(?:-|–|to)\s*(\d{1,5}(?:\.\d+)?))?\s*"
    r"(m|metres?|meters?|ft|feet|foot)\.?",
    re.ASCII | re.IGNORECASE,
)


def event_date_from_parts(record: Record, parameters: Parameters) -> Response:
    """Year, month and day as one date; a day without its month says nothing."""
    year = integer(record, YEAR)
    if has(record, EVENT_DATE) or year is None:
        return UNMET
    parts = [f"{year:04d}"]
    for term in (MONTH, DAY):
        if not has(record, term):
            break
        value = integer(record, term)
        if value is None:
            return UNCHANGED
        parts.append(f"{value:02d}")
    written = "-".join(parts)
    return filled({EVENT_DATE: written}) if parse_span(written) else UNCHANGED


def event_date_standardized(record: Record, parameters: Parameters) -> Response:
    """A date that starts with its year and can be read in one way only, written as ISO 8601-1 writes it."""
    if not has(record, EVENT_DATE):
        return UNMET
    typed = record[EVENT_DATE].strip()
    found = _YEAR_FIRST.fullmatch(typed)
    if parse_span(typed) or not found:
        return UNCHANGED
    year, second, third = found.groups()
    orders = [(second, third)] if int(second) <= 12 else [(third, second)]
    readings = {f"{year}-{month:0>2}-{day:0>2}" for month, day in orders}
    valid = [reading for reading in readings if parse_span(reading)]
    return Response(AMENDED, {EVENT_DATE: valid[0]}) if len(valid) == 1 else UNCHANGED


def event_date_from_verbatim(record: Record, parameters: Parameters) -> Response:
    """The date in the words of the label, where they allow one reading."""
    if has(record, EVENT_DATE) or not has(record, "dwc:verbatimEventDate"):
        return UNMET
    read = read_date(record["dwc:verbatimEventDate"])
    return UNCHANGED if read is None else filled({EVENT_DATE: read})


def elevation_from_verbatim(record: Record, parameters: Parameters) -> Response:
    """One elevation or two with their unit; a number without a unit is not guessed at."""
    if has(record, LOWEST) or has(record, HIGHEST) or not has(record, "dwc:verbatimElevation"):
        return UNMET
    found = _ELEVATION.fullmatch(record["dwc:verbatimElevation"].strip())
    if not found:
        return UNCHANGED
    low, high, unit = found.groups()
    factor = _FOOT_IN_METRES if unit.casefold().startswith("f") else 1.0
    if high is not None and float(high) < float(low):
        return UNCHANGED
    return filled({LOWEST: f"{float(low) * factor:.10g}", HIGHEST: f"{float(high or low) * factor:.10g}"})


def coordinates_from_verbatim(record: Record, parameters: Parameters) -> Response:
    """Decimal degrees from latitude and longitude in words; grid references are left, they are no degrees."""
    whole, halves = "dwc:verbatimCoordinates", ("dwc:verbatimLatitude", "dwc:verbatimLongitude")
    both = all(has(record, half) for half in halves)
    if has(record, LATITUDE) or has(record, LONGITUDE) or not (both or has(record, whole)):
        return UNMET
    pair = _pair(", ".join(record[half].strip() for half in halves) if both else record[whole])
    if pair is None:
        return UNCHANGED
    changes = {LATITUDE: _degrees(pair.latitude), LONGITUDE: _degrees(pair.longitude)}
    if has(record, "dwc:verbatimSRS"):
        changes["dwc:geodeticDatum"] = record["dwc:verbatimSRS"].strip()
    return filled(changes)


def _pair(text: str) -> Pair | None:
    """The only reading of the words. A number beyond 90 can stand first: it can be nothing but the longitude."""
    try:
        return pair_of(tidy(text).coordinates)
    except AmbiguousPlace:
        return None
    except PlaceError:
        swapped = _LONGITUDE_FIRST.fullmatch(text.strip())
    if not swapped or not 90 < abs(float(swapped[1])) <= 180:
        return None
    try:
        return pair_of(f"{swapped[2]}, {swapped[1]}")
    except PlaceError:
        return None


def _degrees(value: float) -> str:
    """Seven places of a degree, a centimetre; without the noise of the arithmetic."""
    return f"{round(value, 7):.10g}"


def status_assumed(record: Record, parameters: Parameters) -> Response:
    """`present` where neither a status nor a count is given.

    The text would have a given status answered by INTERNAL_PREREQUISITES_NOT_MET, all three rows of the data by
    NOT_AMENDED; the rows are followed.
    """
    told = (STATUS, "dwc:individualCount", "dwc:organismQuantity")
    return UNCHANGED if any(has(record, term) for term in told) else filled({STATUS: "present"})


TESTS = (
    BdqTest(
        "3892f432-ddd0-4a0a-b713-f2e2ecbd879d", "AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY", event_date_from_parts
    ),
    BdqTest(
        "718dfc3c-cb52-4fca-b8e2-0e722f375da7", "AMENDMENT_EVENTDATE_STANDARDIZED", event_date_standardized
    ),
    BdqTest(
        "6d0a0c10-5e4a-4759-b448-88932f399812", "AMENDMENT_EVENTDATE_FROM_VERBATIM", event_date_from_verbatim
    ),
    BdqTest(
        "2d638c8b-4c62-44a0-a14d-fa147bf9823d",
        "AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM",
        elevation_from_verbatim,
    ),
    BdqTest(
        "3c2590c7-af8a-4eb4-af57-5f73ba9d1f8e",
        "AMENDMENT_COORDINATES_FROM_VERBATIM",
        coordinates_from_verbatim,
    ),
    BdqTest(
        "96667a0a-ae59-446a-bbb0-b7f2b0ca6cf5", "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT", status_assumed
    ),
)
