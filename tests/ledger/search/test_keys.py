"""Numbers to sort and to count by."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.blur import coarsen
from ledger.search.keys import NETS, cell_bounds, cell_number, first_key_of, last_key_of, latest_key

MOMENTS = st.integers(0, 7_200_000_000).map(lambda second: datetime.fromtimestamp(second, UTC))
LATITUDES, LONGITUDES = st.floats(-90, 90), st.floats(-180, 180)


@given(st.dates(), st.dates(), MOMENTS, MOMENTS)
def test_the_day_comes_before_the_moment(one: date, other: date, at: datetime, later: datetime) -> None:
    if one < other:
        assert latest_key(one, at) < latest_key(other, later)
    assert first_key_of(one) <= latest_key(one, at) <= last_key_of(one) < 1 << 63


@given(MOMENTS, MOMENTS, st.dates())
def test_a_find_without_a_day_is_below_all_others(at: datetime, other: datetime, day: date) -> None:
    assert latest_key(None, at) < first_key_of(date.min) <= latest_key(day, other)


@given(LATITUDES, LONGITUDES, st.sampled_from([1.0, 0.1, 0.01]))
def test_cells_are_those_of_the_coarsened_places(latitude: float, longitude: float, side: float) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=side)
    number = cell_number(latitude=latitude, longitude=longitude, side_deg=side)
    assert cell_bounds(number, side) == pytest.approx((cell.south, cell.west, cell.north, cell.east))
    assert number < 1 << 31


@given(LATITUDES, LONGITUDES, st.sampled_from([1.0, 0.1, 0.01, 0.001]))
def test_a_coarsened_place_stays_in_its_cell_on_every_net_as_coarse(
    latitude: float, longitude: float, step: float
) -> None:
    cell = coarsen(latitude=latitude, longitude=longitude, side_deg=step)
    for side in NETS:
        if side >= step:
            exact = cell_number(latitude=latitude, longitude=longitude, side_deg=side)
            assert cell_number(latitude=cell.latitude, longitude=cell.longitude, side_deg=side) == exact
