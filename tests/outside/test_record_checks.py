"""Our record checks of place and date, run over the rows of the TDWG BDQ Core tests that they follow.

Source: TDWG Biodiversity Data Quality, BDQ Core validation data, tdwg/bdq commit bdc0930 (2026-07-29), CC BY 4.0. A row
is judged where its value is a number or a whole day, as a find's is; text that is neither never reaches a find.
"""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from ledger.finds.tables import flag_table
from ledger.record.checks import record_flags
from ledger.record.facts import Limits, RecordFacts
from tests.outside.test_bdq import ROWS

TODAY = date(2026, 11, 25)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


Facts = dict[str, Any]


def latitude(row: dict[str, str]) -> Facts:
    return {"latitude": _number(row["dwc:decimalLatitude"]), "longitude": 10.0}


def longitude(row: dict[str, str]) -> Facts:
    return {"latitude": 50.0, "longitude": _number(row["dwc:decimalLongitude"])}


def both(row: dict[str, str]) -> Facts:
    return {
        "latitude": _number(row["dwc:decimalLatitude"]),
        "longitude": _number(row["dwc:decimalLongitude"]),
    }


def uncertainty(row: dict[str, str]) -> Facts:
    return {
        "latitude": 50.0,
        "longitude": 10.0,
        "uncertainty_m": _number(row["dwc:coordinateUncertaintyInMeters"]),
    }


def altitude(row: dict[str, str]) -> Facts:
    return {"altitude_m": _number(row["dwc:minimumElevationInMeters"])}


def day(row: dict[str, str]) -> Facts:
    return {"found_on": _day(row["dwc:eventDate"])}


# BDQ test -> what a row gives a find, and the flags of ours that say the same.
FOLLOWED: dict[str, tuple[Callable[[dict[str, str]], Facts], set[str]]] = {
    "b6ecda2a-ce36-437a-b515-3ae94948fe83": (latitude, {"place_out_of_range"}),
    "0949110d-c06b-450e-9649-7c1374d940d1": (longitude, {"place_out_of_range"}),
    "1bf0e210-6792-4128-b8cc-ab6828aa4871": (both, {"place_zero"}),
    "c6adf2ea-3051-4498-97f4-4b2f8a105f57": (uncertainty, {"uncertainty_impossible"}),
    "0bb8297d-8f8a-42d2-80c1-558f29efe798": (altitude, {"altitude_out_of_range"}),
    "3cff4dc4-72e9-4abe-9bf3-8a30f1618432": (day, {"date_future", "date_too_early"}),
}


def judged(guid: str) -> list[tuple[dict[str, str], Facts]]:
    """Rows that were run and whose values a find could hold."""
    given, _ = FOLLOWED[guid]
    rows = [row for row in ROWS if row["GUID"] == guid and row["Response.status"] == "RUN_HAS_RESULT"]
    facts = [(row, given(row)) for row in rows]
    return [(row, fact) for row, fact in facts if None not in fact.values()]


CASES = [
    pytest.param(guid, row, fact, id=f"{row['Label']}-{row['dataID']}")
    for guid in FOLLOWED
    for row, fact in judged(guid)
]


# Of dates, the rows that are not compliant are years and ranges, which no find's box holds.
@pytest.mark.parametrize("guid", [guid for guid, (given, _) in FOLLOWED.items() if given is not day])
def test_each_followed_test_has_rows_of_both_answers(guid: str) -> None:
    answers = {row["Response.result"] for row, _ in judged(guid)}
    assert answers == {"COMPLIANT", "NOT_COMPLIANT"}


@pytest.mark.parametrize(("guid", "row", "fact"), CASES)
def test_a_record_check_agrees_with_the_standard_s_row(guid: str, row: dict[str, str], fact: Facts) -> None:
    _, codes = FOLLOWED[guid]
    raised = {flag.code for flag in record_flags(RecordFacts(today=TODAY, **fact), Limits(), flag_table())}
    assert bool(raised & codes) == (row["Response.result"] == "NOT_COMPLIANT")
