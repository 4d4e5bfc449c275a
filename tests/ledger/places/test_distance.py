import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.distance import between_m, distance_m, is_within
from ledger.places.errors import PlaceError
from ledger.places.position import Position

positions = st.builds(Position, latitude=st.floats(-90, 90), longitude=st.floats(-180, 180))


def test_both_names_of_the_180th_meridian_are_one_place() -> None:
    assert distance_m(latitude=10, longitude=180, to_latitude=10, to_longitude=-180) == 0


def test_every_meridian_meets_at_the_pole() -> None:
    assert distance_m(latitude=90, longitude=0, to_latitude=90, to_longitude=137) == pytest.approx(
        0, abs=1e-6
    )


@pytest.mark.parametrize("missing", [None, "", math.nan, math.inf])
def test_a_missing_coordinate_is_never_taken_for_nought(missing: object) -> None:
    with pytest.raises(PlaceError):
        distance_m(latitude=0, longitude=missing, to_latitude=0, to_longitude=0)  # type: ignore[arg-type]
    with pytest.raises(PlaceError):
        distance_m(latitude=missing, longitude=0, to_latitude=0, to_longitude=0)  # type: ignore[arg-type]


def test_an_unknown_ellipsoid_is_refused() -> None:
    with pytest.raises(PlaceError, match="not known here"):
        distance_m(latitude=0, longitude=0, to_latitude=1, to_longitude=1, ellipsoid="sphere")


@given(positions, positions, st.floats(0.01, 2e7))
def test_within_gives_the_geodesic_s_own_answer(one: Position, other: Position, limit_m: float) -> None:
    assert is_within(one, other, limit_m) == (between_m(one, other) <= limit_m)
