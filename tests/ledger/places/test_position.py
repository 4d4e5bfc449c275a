import math

import pytest

from ledger.places.errors import PlaceError
from ledger.places.position import Position


@pytest.mark.parametrize("latitude", [90.0001, -91, math.nan, math.inf, None, "51", True])
def test_what_is_no_latitude_is_refused(latitude: object) -> None:
    with pytest.raises(PlaceError):
        Position(latitude=latitude, longitude=0)  # type: ignore[arg-type]


def test_a_latitude_beyond_the_pole_hints_at_swapped_order() -> None:
    with pytest.raises(PlaceError, match="swapped"):
        Position(latitude=-120.5, longitude=45.2)


@pytest.mark.parametrize("uncertainty_m", [0, -5, math.nan])
def test_an_uncertainty_is_a_radius_above_nought(uncertainty_m: float) -> None:
    with pytest.raises(PlaceError, match="not known"):
        Position(latitude=0, longitude=0, uncertainty_m=uncertainty_m)


def test_a_missing_error_stays_missing() -> None:
    assert Position(latitude=0, longitude=0).with_stated_error(None).uncertainty_m is None


def test_the_poles_and_the_date_line_are_places() -> None:
    assert Position(latitude=-90, longitude=180).longitude == 180
