"""What each claimed BDQ Core test reads and asks, in our own words: the comment of an answer is made of these.

`terms` are the information elements acted upon and consulted, as the standard's descriptors name them
(TDWG BDQ Core, draft for review, 2026-06-03, CC BY 4.0); tests/outside/test_bdq.py holds them against the published list.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ledger.record.bdq_place import LOCATION_TERMS
from ledger.record.bdq_terms import (
    AMENDED,
    COMPLIANT,
    EXTERNAL_PREREQUISITES_NOT_MET,
    FILLED_IN,
    INTERNAL_PREREQUISITES_NOT_MET,
    NOT_AMENDED,
    NOT_COMPLIANT,
    NOT_ISSUE,
    POTENTIAL_ISSUE,
    Record,
    Response,
    has,
)

_SHOWN = 60  # letters of a value in a comment; the whole stands in the file


@dataclass(frozen=True, slots=True)
class Asked:
    """The terms that a test reads, and what it asks of them."""

    terms: tuple[str, ...]
    asks: str


def _asked(names: str, asks: str) -> Asked:
    return Asked(tuple(name if ":" in name else f"dwc:{name}" for name in names.split()), asks)


_TO_THE_DAY = "year month day startDayOfYear endDayOfYear"

WORDS: Mapping[str, Asked] = MappingProxyType(
    {
        "VALIDATION_DECIMALLATITUDE_INRANGE": _asked("decimalLatitude", "a number from -90 to 90"),
        "VALIDATION_DECIMALLONGITUDE_INRANGE": _asked("decimalLongitude", "a number from -180 to 180"),
        "VALIDATION_DECIMALLATITUDE_NOTEMPTY": _asked("decimalLatitude", "not empty"),
        "VALIDATION_DECIMALLONGITUDE_NOTEMPTY": _asked("decimalLongitude", "not empty"),
        "VALIDATION_COORDINATES_NOTZERO": _asked("decimalLatitude decimalLongitude", "not both 0"),
        "VALIDATION_COORDINATEUNCERTAINTY_INRANGE": _asked(
            "coordinateUncertaintyInMeters", "a number from 1 to 20037509"
        ),
        "VALIDATION_GEODETICDATUM_NOTEMPTY": _asked("geodeticDatum", "not empty"),
        "VALIDATION_COUNTRY_NOTEMPTY": _asked(
            "country countryCode", "a country, or the code XZ of the high seas"
        ),
        "VALIDATION_COUNTRYCODE_NOTEMPTY": _asked("countryCode", "not empty"),
        "VALIDATION_COUNTRYCODE_STANDARD": _asked(
            "countryCode", "a two-letter code of ISO 3166-1 in capitals, or ZZ or XZ"
        ),
        "VALIDATION_LOCATION_NOTEMPTY": Asked(LOCATION_TERMS, "at least one term that says where"),
        "VALIDATION_MINELEVATION_INRANGE": _asked(
            "minimumElevationInMeters", "a number of metres from -430 to 8850"
        ),
        "VALIDATION_MAXELEVATION_INRANGE": _asked(
            "maximumElevationInMeters", "a number of metres from -430 to 8850"
        ),
        "VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION": _asked(
            "minimumElevationInMeters maximumElevationInMeters", "the lowest not above the highest"
        ),
        "VALIDATION_EVENTDATE_NOTEMPTY": _asked("eventDate", "not empty"),
        "VALIDATION_EVENTDATE_STANDARD": _asked("eventDate", "a date or interval of ISO 8601-1"),
        "VALIDATION_EVENTDATE_INRANGE": _asked(
            "eventDate", "the whole of it from 1582-11-15 to the end of this year"
        ),
        "VALIDATION_EVENT_CONSISTENT": _asked(
            f"eventDate {_TO_THE_DAY}", "the parts of the date agree with eventDate"
        ),
        "VALIDATION_EVENTTEMPORAL_NOTEMPTY": _asked(
            f"eventDate {_TO_THE_DAY} verbatimEventDate", "at least one term that says when"
        ),
        "VALIDATION_YEAR_INRANGE": _asked("year", "a whole number from 1582 to this year"),
        "VALIDATION_YEAR_NOTEMPTY": _asked("year", "not empty"),
        "VALIDATION_MONTH_STANDARD": _asked("month", "a whole number from 1 to 12"),
        "VALIDATION_DAY_STANDARD": _asked("day", "a whole number from 1 to 31"),
        "VALIDATION_DAY_INRANGE": _asked("day month year", "a day that the month has in that year"),
        "VALIDATION_STARTDAYOFYEAR_INRANGE": _asked(
            "startDayOfYear eventDate", "a whole number from 1 to 365, 366 in a leap year"
        ),
        "VALIDATION_ENDDAYOFYEAR_INRANGE": _asked(
            "endDayOfYear eventDate", "a whole number from 1 to 365, 366 in a leap year"
        ),
        "MEASURE_EVENTDATE_DURATIONINSECONDS": _asked("eventDate", "the length of the date in seconds"),
        "VALIDATION_DATEIDENTIFIED_STANDARD": _asked("dateIdentified", "a date or interval of ISO 8601-1"),
        "VALIDATION_DATEIDENTIFIED_INRANGE": _asked(
            "dateIdentified eventDate", "from 1753-01-01 to today, and not before the event"
        ),
        "VALIDATION_OCCURRENCEID_NOTEMPTY": _asked("occurrenceID", "not empty"),
        "VALIDATION_OCCURRENCESTATUS_NOTEMPTY": _asked("occurrenceStatus", "not empty"),
        "VALIDATION_OCCURRENCESTATUS_STANDARD": _asked(
            "occurrenceStatus",
            "present or absent (the words until May 2026; detected and notDetected have replaced them since)",
        ),
        "VALIDATION_BASISOFRECORD_NOTEMPTY": _asked("basisOfRecord", "not empty"),
        "VALIDATION_BASISOFRECORD_STANDARD": _asked(
            "basisOfRecord", "a word of the vocabulary as it is written there, such as PreservedSpecimen"
        ),
        "VALIDATION_SCIENTIFICNAME_NOTEMPTY": _asked("scientificName", "not empty"),
        "VALIDATION_SCIENTIFICNAMEAUTHORSHIP_NOTEMPTY": _asked("scientificNameAuthorship", "not empty"),
        "VALIDATION_TAXONRANK_NOTEMPTY": _asked("taxonRank", "not empty"),
        "VALIDATION_POLYNOMIAL_CONSISTENT": _asked(
            "scientificName genericName specificEpithet infraspecificEpithet",
            "genus and epithets as they stand in the whole name",
        ),
        "VALIDATION_LICENSE_NOTEMPTY": _asked("dcterms:license", "not empty"),
        "VALIDATION_LICENSE_STANDARD": _asked(
            "dcterms:license", "the address of a Creative Commons 4.0 licence or of CC0"
        ),
        "ISSUE_DATAGENERALIZATIONS_NOTEMPTY": _asked(
            "dataGeneralizations", "empty, or else the record is coarser than what is held"
        ),
        "AMENDMENT_EVENTDATE_FROM_YEARMONTHDAY": _asked(
            "eventDate year month day", "an empty eventDate from year, month and day"
        ),
        "AMENDMENT_EVENTDATE_STANDARDIZED": _asked(
            "eventDate", "a date that can be read in one way only, written as ISO 8601-1"
        ),
        "AMENDMENT_EVENTDATE_FROM_VERBATIM": _asked(
            "eventDate verbatimEventDate",
            "an empty eventDate from the words of the label, where they can be read in one way only",
        ),
        "AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM": _asked(
            "minimumElevationInMeters maximumElevationInMeters verbatimElevation",
            "empty elevations from the words of the label, where they name their unit",
        ),
        "AMENDMENT_COORDINATES_FROM_VERBATIM": _asked(
            "decimalLatitude decimalLongitude geodeticDatum verbatimCoordinates verbatimLatitude verbatimLongitude "
            "verbatimCoordinateSystem verbatimSRS",
            "empty coordinates from the words of the label, where they can be read in one way only",
        ),
        "AMENDMENT_OCCURRENCESTATUS_ASSUMEDDEFAULT": _asked(
            "occurrenceStatus individualCount organismQuantity",
            "an empty status as present, where no count is given either",
        ),
    }
)

# Every term that any claimed test reads: a table without one of them has nothing to check.
TERMS = frozenset(term for asked in WORDS.values() for term in asked.terms)

_VERDICTS: Mapping[str, str] = {
    COMPLIANT: "Holds",
    NOT_COMPLIANT: "Does not hold",
    NOT_ISSUE: "No issue",
    POTENTIAL_ISSUE: "A possible issue",
}


def comment(label: str, record: Record, answer: Response) -> str:
    """One sentence or two: what came out, what was asked, what stands in the record."""
    asked = WORDS[label]
    given = [f"{term} is {_quoted(record[term])}" for term in asked.terms if has(record, term)]
    stands = f"{'; '.join(given)}." if given else f"{_named(asked.terms)}."
    if answer.status == INTERNAL_PREREQUISITES_NOT_MET:
        return f"Not judged, since the record lacks what this needs. Asked: {asked.asks}. {stands}"
    if answer.status == EXTERNAL_PREREQUISITES_NOT_MET:
        return f"Not judged: the list asked for is not held here. Asked: {asked.asks}. {stands}"
    if answer.status in (AMENDED, FILLED_IN) and not isinstance(answer.result, str):
        made = "; ".join(f"{term} would be {_quoted(value)}" for term, value in answer.result.items())
        return f"{made}. Asked: {asked.asks}. {stands}"
    if answer.status == NOT_AMENDED:
        return f"Left as it is. Asked: {asked.asks}. {stands}"
    said = _VERDICTS.get(str(answer.result), f"{answer.result}")
    return f"{said}. Asked: {asked.asks}. {stands}"


def _named(terms: tuple[str, ...]) -> str:
    if len(terms) == 1:
        return f"{terms[0]} is empty"
    return f"{', '.join(terms[:4])}{' and the others' if len(terms) > 4 else ''} are empty"


def _quoted(value: str) -> str:
    """The value in quotes, short, with what does not print shown by its code."""
    shown = value if len(value) <= _SHOWN else value[: _SHOWN - 1] + "…"
    if shown.isprintable():
        return f"“{shown}”"
    return "“" + "".join(one if one.isprintable() else f"<U+{ord(one):04X}>" for one in shown) + "”"
