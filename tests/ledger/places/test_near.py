import pytest

from ledger.places.near import readings_within
from ledger.places.position import Position

# Around 52 north, 2 west; figures made up.
CIRCLE = {"latitude": 52.0, "longitude": -2.0, "radius_m": 60_000}


def meant(latitude: float, longitude: float) -> list[tuple[float, float]]:
    found = readings_within(Position(latitude=latitude, longitude=longitude), **CIRCLE)
    return [(one.latitude, one.longitude) for one in found]


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [(52.1, 2.1), (-52.1, -2.1), (-2.1, 52.1), (-52.1, 2.1), (2.1, 52.1), (2.1, -52.1), (-2.1, -52.1)],
)
def test_a_swap_and_turned_signs_lead_back_into_the_circle(latitude: float, longitude: float) -> None:
    assert meant(latitude, longitude) == [(52.1, -2.1)]


def test_a_place_that_no_change_brings_inside_has_no_other_reading() -> None:
    assert meant(40.0, 20.0) == []


def test_both_readings_are_shown_where_both_lie_inside() -> None:
    around = {"latitude": 0.0, "longitude": 10.0, "radius_m": 1_600_000}
    found = readings_within(Position(latitude=10.0, longitude=-10.2), **around)
    assert [(one.latitude, one.longitude) for one in found] == [(10.0, 10.2), (-10.2, 10.0)]


def test_a_longitude_beyond_90_is_never_taken_for_a_latitude() -> None:
    assert meant(52.1, 170.0) == []


def test_what_else_was_said_of_the_place_is_kept() -> None:
    position = Position(latitude=52.1, longitude=2.1, datum="ED50", uncertainty_m=25.0)
    (one,) = readings_within(position, **CIRCLE)
    assert (one.datum, one.uncertainty_m) == ("ED50", 25.0)
