import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.blur import SIDE_DEG_BY_CATEGORY, SIDES_DEG, blurred, coarsen, generalisation
from ledger.places.distance import distance_m
from ledger.places.errors import PlaceError
from ledger.places.position import Position

latitudes, longitudes, sides = st.floats(-90, 90), st.floats(-180, 180), st.sampled_from(SIDES_DEG)


@pytest.mark.parametrize(
    ("latitude", "longitude", "side_deg", "south", "west"),
    [
        (52.123, 0.456, 0.1, 52.1, 0.4),
        (-0.05, -0.05, 0.1, -0.1, -0.1),
        (-33.95, -70.001, 0.01, -33.95, -70.01),
        (0.29, 0.57, 0.01, 0.29, 0.57),
        (90, 10, 1.0, 89, 10),
        (-90, 10, 1.0, -90, 10),
        (0, 180, 1.0, 0, -180),
        (0, -180, 1.0, 0, -180),
        (0, 179.9999, 0.001, 0, 179.999),
        (-0.0, -0.0, 1.0, 0, 0),
    ],
)
def test_a_point_falls_into_the_cell_south_and_west_of_it(
    latitude: float, longitude: float, side_deg: float, south: float, west: float
) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=side_deg)
    assert (cell.south, cell.west) == (south, west)


@given(latitudes, longitudes, sides)
def test_the_cell_holds_its_point(latitude: float, longitude: float, side_deg: float) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=side_deg)
    assert cell.south <= latitude <= cell.north
    assert cell.west <= (-180 if longitude == 180 else longitude) < cell.east


@given(latitudes, longitudes, sides)
def test_coarsening_its_own_corner_or_centre_changes_nothing(
    latitude: float, longitude: float, side_deg: float
) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=side_deg)
    assert coarsen(latitude=cell.south, longitude=cell.west, side_deg=side_deg) == cell
    assert coarsen(latitude=cell.latitude, longitude=cell.longitude, side_deg=side_deg) == cell


@given(latitudes, longitudes, sides)
def test_the_circle_round_the_centre_holds_the_point(
    latitude: float, longitude: float, side_deg: float
) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=side_deg)
    away_m = distance_m(
        latitude=cell.latitude, longitude=cell.longitude, to_latitude=latitude, to_longitude=longitude
    )
    assert away_m <= cell.uncertainty_m + 1e-6


def test_two_places_of_one_cell_cannot_be_told_apart() -> None:
    one = Position(latitude=52.111, longitude=-1.501, altitude_m=120, typed="52.111, -1.501", uncertainty_m=5)
    other = Position(latitude=52.189, longitude=-1.599, altitude_m=80, typed="by the oak", uncertainty_m=9)
    assert blurred(one, 0.1) == blurred(other, 0.1)


def test_a_blurred_place_gives_away_neither_altitude_nor_typed_text() -> None:
    exact = Position(latitude=52.111, longitude=-1.501, altitude_m=120, typed="52.111, -1.501")
    shown = dataclasses.asdict(blurred(exact, 0.1))
    assert shown["altitude_m"] is None
    assert "52.111" not in str(shown)


def test_blurring_twice_changes_nothing() -> None:
    once = blurred(Position(latitude=-52.111, longitude=-1.501, uncertainty_m=5), 0.01)
    assert blurred(once, 0.01) == once


def test_a_place_less_sure_than_its_cell_keeps_its_own_uncertainty() -> None:
    assert blurred(Position(latitude=52, longitude=0, uncertainty_m=5000), 0.001).uncertainty_m == 5000


def test_the_extent_of_a_cell_at_60_north_is_half_as_wide_as_high() -> None:
    # Degree lengths at 60 N: 111412.29 and 55800.00 m (Chapman & Wieczorek's formula, WGS84).
    cell = coarsen(latitude=60.0, longitude=10.0, side_deg=0.001)
    assert cell.height_m == pytest.approx(111.412, abs=0.01)
    assert cell.width_m == pytest.approx(55.800, abs=0.01)


def test_the_last_cell_before_the_pole_is_a_wedge_with_one_edge() -> None:
    cell = coarsen(latitude=90, longitude=0, side_deg=1.0)
    assert (cell.north, cell.south) == (90, 89)
    assert cell.width_m > 0


def test_each_category_of_sensitivity_has_its_cell() -> None:
    assert SIDE_DEG_BY_CATEGORY == {1: 1.0, 2: 0.1, 3: 0.01, 4: 0.001}


@pytest.mark.parametrize("side_deg", [0, 0.5, 10, -1])
def test_another_width_is_refused(side_deg: float) -> None:
    with pytest.raises(PlaceError, match=r"1, 0\.1, 0\.01 or 0\.001"):
        coarsen(latitude=0, longitude=0, side_deg=side_deg)


def test_the_sentence_names_the_cell_and_says_that_a_finer_place_is_held() -> None:
    sentence = generalisation(coarsen(latitude=52, longitude=-1.5, side_deg=0.1))
    assert "0.1 degree cell" in sentence
    assert "finer place is held" in sentence


def test_a_cell_is_printed_by_both_edges() -> None:
    cell = coarsen(latitude=52.11, longitude=-1.55, side_deg=0.1)
    assert str(cell) == "cell of 0.1°: latitude 52.1 to 52.2, longitude -1.6 to -1.5"
