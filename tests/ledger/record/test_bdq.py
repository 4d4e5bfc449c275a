"""Beside tests/outside/test_bdq.py, which runs the standard's own rows: what those rows do not ask."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.record.bdq import CLAIMED, NotClaimed, run_all, run_test
from ledger.record.bdq_place import LOCATION_TERMS
from ledger.record.bdq_terms import Parameters, is_empty
from ledger.record.bdq_time import END_DAY, EVENT_DATE, IDENTIFIED, START_DAY

TODAY = Parameters(today=date(2026, 11, 25))
TERMS = (*LOCATION_TERMS, EVENT_DATE, IDENTIFIED, START_DAY, END_DAY, "dwc:year", "dwc:month", "dwc:day",
         "dwc:verbatimEventDate", "dwc:verbatimElevation", "dwc:minimumElevationInMeters", "dwc:scientificName",
         "dwc:genericName", "dwc:specificEpithet", "dwc:coordinateUncertaintyInMeters", "dcterms:license")  # fmt: skip
GUIDS = {test.label: guid for guid, test in CLAIMED.items()}


def ask(label, parameters=TODAY, **terms):
    return run_test(GUIDS[label], {f"dwc:{name}": value for name, value in terms.items()}, parameters)


def test_a_test_that_is_not_claimed_is_refused():
    with pytest.raises(NotClaimed, match="not among"):
        run_test("00000000-0000-0000-0000-000000000000", {}, TODAY)


def test_every_claimed_test_answers_an_empty_record():
    assert len(run_all({}, TODAY)) == len(CLAIMED)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(None, True), (" \t", True), ("\u200b", True), ("null", False), ("0", False)],
)
def test_empty_means_nothing_that_prints(value, expected):
    assert is_empty(value) is expected


def test_the_range_of_dates_ends_with_the_year_it_is_told():
    assert ask("VALIDATION_EVENTDATE_INRANGE", eventDate="2026-12-31").result == "COMPLIANT"
    assert ask("VALIDATION_EVENTDATE_INRANGE", eventDate="2027-01-01").result == "NOT_COMPLIANT"


def test_another_authority_than_our_own_list_cannot_be_reached():
    told = Parameters(today=TODAY.today, source_authority="somewhere else")
    assert (
        ask("VALIDATION_COUNTRYCODE_STANDARD", told, countryCode="GB").status
        == "EXTERNAL_PREREQUISITES_NOT_MET"
    )


def test_day_366_needs_a_leap_year_at_its_own_end_of_the_event():
    years = "2024-12-30/2025-01-02"
    assert (
        ask("VALIDATION_STARTDAYOFYEAR_INRANGE", startDayOfYear="366", eventDate=years).result == "COMPLIANT"
    )
    assert (
        ask("VALIDATION_ENDDAYOFYEAR_INRANGE", endDayOfYear="366", eventDate=years).result == "NOT_COMPLIANT"
    )


@pytest.mark.parametrize(
    ("words", "expected"), [("100", None), ("300 - 200 m", None), ("alt. 120 m", ("120", "120")), ("-3 m", ("-3", "-3")),
     ("9" * 400 + " m", None)]
)  # fmt: skip
def test_an_elevation_needs_its_unit_and_its_order(words, expected):
    result = ask("AMENDMENT_MINELEVATIONMAXELEVATION_FROM_VERBATIM", verbatimElevation=words).result
    assert (tuple(result.values()) if result else None) == expected


@pytest.mark.parametrize("words", ["12.5, 33.1 or so", "51 30", "120.5, 100.2"])
def test_coordinates_that_are_not_plain_are_left(words):
    assert ask("AMENDMENT_COORDINATES_FROM_VERBATIM", verbatimCoordinates=words).status == "NOT_AMENDED"


VALUES = st.text(max_size=20) | st.sampled_from(
    [
        "0",
        "366",
        "29",
        "2",
        "2024",
        "1980-05-08/10",
        "9999-12-31T23:59:59Z",
        "9" * 5000,
        "1e999",
        "nan",
        "½",
        "٣",
    ]
)


@given(st.dictionaries(st.sampled_from(TERMS), VALUES))
def test_no_record_makes_a_test_fail_and_no_amendment_overwrites(record):
    for answer in run_all(record, TODAY).values():
        if answer.status == "FILLED_IN":
            assert all(is_empty(record.get(term)) for term in answer.result if term != "dwc:geodeticDatum")
