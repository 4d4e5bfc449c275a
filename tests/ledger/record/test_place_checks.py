import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.ledger.record.cases import LIMITS, flags_of, land


def test_a_find_with_all_its_facts_in_order_gives_no_flag():
    assert flags_of() == {}


@pytest.mark.parametrize(
    ("latitude", "longitude", "given"), [(None, None, 0), (52.0, None, 1), (None, 0.0, 1)]
)
def test_a_missing_coordinate_is_missing_and_never_zero(latitude, longitude, given):
    flags = flags_of(latitude=latitude, longitude=longitude)
    assert set(flags) == {"place_missing"}
    assert flags["place_missing"].numbers == {"given": given}


def test_zero_zero_stops_and_says_nothing_else_of_the_place():
    flags = flags_of(replace(LIMITS, land=land()), latitude=0.0, longitude=0.0)
    assert "place_zero" in flags
    assert not {"place_at_sea", "place_outside_area"} & set(flags)
    assert flags["place_zero"].severity == "stop"


def test_one_coordinate_of_zero_is_a_place():
    assert "place_zero" not in flags_of(longitude=0.0)


@pytest.mark.parametrize(("latitude", "longitude"), [(90.01, 0.5), (-91, 0.5), (50, 180.1), (math.nan, 1)])
def test_what_is_not_on_earth_stops_with_both_numbers(latitude, longitude):
    flag = flags_of(latitude=latitude, longitude=longitude)["place_out_of_range"]
    assert flag.severity == "stop"
    assert f"{latitude:g}" in flag.sentence


def test_a_find_outside_the_area_by_more_than_its_error_is_flagged_with_the_distance():
    flag = flags_of(latitude=53.0, longitude=-1.0, photos=())["place_outside_area"]
    # One degree of latitude here is 111.3 km (10001.966 km / 90 = 111.13 km mean; WGS 84, from memory).
    assert flag.numbers["distance_m"] == pytest.approx(111_000, rel=0.01)
    assert "60.0 km" in flag.sentence


def test_a_find_outside_the_area_by_less_than_its_error_is_not():
    assert "place_outside_area" not in flags_of(latitude=53.0, longitude=-1.0, uncertainty_m=60_000)


def test_without_an_area_nothing_is_outside_it():
    assert "place_outside_area" not in flags_of(replace(LIMITS, area=None), latitude=-40.0, longitude=170.0)


def test_a_find_in_the_north_sea_is_at_sea_and_one_in_kent_is_not():
    limits = replace(LIMITS, land=land())
    assert "place_at_sea" in flags_of(limits, latitude=54.0, longitude=3.0)
    assert "place_at_sea" not in flags_of(limits, latitude=51.2, longitude=0.9)


def test_a_position_with_its_longitude_sign_lost_lands_in_the_sea():
    # 55.9 N 5.4 W is Argyll; with the sign lost it is the North Sea off Denmark.
    assert "place_at_sea" in flags_of(replace(LIMITS, land=land()), latitude=55.9, longitude=5.4)


def test_an_error_that_reaches_the_coast_is_no_reason_to_say_at_sea():
    limits = replace(LIMITS, land=land())
    assert "place_at_sea" not in flags_of(limits, latitude=54.0, longitude=3.0, uncertainty_m=200_000)


@pytest.mark.parametrize("error_m", [0.0, -5.0, 0.5, 20_037_510.0, math.nan, math.inf])
def test_an_error_that_cannot_be_is_flagged(error_m):
    assert "uncertainty_impossible" in flags_of(uncertainty_m=error_m)


@pytest.mark.parametrize(("source", "error_m", "expected"), [
    ("phone", 1000, False), ("phone", 1001, True), ("typed", 5000, False), ("typed", 10_001, True),
])  # fmt: skip
def test_an_error_is_huge_sooner_for_a_phone_than_for_typed_words(source, error_m, expected):
    assert ("uncertainty_huge" in flags_of(uncertainty_m=error_m, position_source=source)) is expected


def test_a_missing_error_and_a_missing_datum_are_notes():
    flags = flags_of(uncertainty_m=None, datum=" ")
    assert {code: flag.severity for code, flag in flags.items()} == {
        "uncertainty_missing": "note",
        "datum_missing": "note",
    }


@pytest.mark.parametrize(
    ("altitude_m", "expected"), [(-431, True), (-430, False), (8850, False), (8851, True)]
)
def test_altitude_has_the_ends_of_the_land(altitude_m, expected):
    assert ("altitude_out_of_range" in flags_of(altitude_m=altitude_m)) is expected


def test_a_sensitive_taxon_is_noted_with_its_step():
    flag = flags_of(blur_step_deg=0.1)["sensitive_taxon"]
    assert flag.numbers == {"taxon": "Trametes versicolor", "blur_step_deg": 0.1}
    assert "0.1°" in flag.sentence


@given(
    latitude=st.floats() | st.none(),
    longitude=st.floats() | st.none(),
    uncertainty_m=st.floats() | st.none(),
    altitude_m=st.floats() | st.none(),
)
def test_no_position_makes_the_checks_fail(latitude, longitude, uncertainty_m, altitude_m):
    flags = flags_of(
        replace(LIMITS, land=land()),
        latitude=latitude,
        longitude=longitude,
        uncertainty_m=uncertainty_m,
        altitude_m=altitude_m,
    )
    assert all(flag.sentence for flag in flags.values())
