import pytest

from ledger.places.precision import (
    degree_of_latitude_m,
    degree_of_longitude_m,
    stated_up,
    uncertainty_from_precision_m,
)


# Lengths of a degree on WGS84, computed from the ellipsoid by another hand; published nowhere to these digits.
@pytest.mark.parametrize(
    ("latitude", "north_m", "east_m"),
    [(0, 110574.28, 111319.49), (45, 111131.78, 78846.84), (60, 111412.29, 55800.00)],
)
def test_the_lengths_of_a_degree(latitude: float, north_m: float, east_m: float) -> None:
    assert degree_of_latitude_m(latitude) == pytest.approx(north_m, abs=0.01)
    assert degree_of_longitude_m(latitude) == pytest.approx(east_m, abs=0.01)


def test_north_and_south_are_alike() -> None:
    assert degree_of_latitude_m(-52) == degree_of_latitude_m(52)


def test_at_the_pole_only_the_latitude_counts() -> None:
    assert uncertainty_from_precision_m(latitude=90, precision_deg=1) == pytest.approx(
        degree_of_latitude_m(90)
    )


def test_unlike_units_are_combined_each_by_its_own() -> None:
    both = uncertainty_from_precision_m(latitude=0, precision_deg=0.001, longitude_precision_deg=0.1)
    assert both == pytest.approx(11132.5, abs=0.1)


@pytest.mark.parametrize(
    ("metres", "stored"), [(0.02, 1.0), (7.0711, 7.1), (71.0, 71.0), (15690.347, 15690.4)]
)
def test_an_uncertainty_is_stored_rounded_up_and_never_under_a_metre(metres: float, stored: float) -> None:
    assert stated_up(metres) == stored
