import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.errors import PlaceError
from ledger.places.grid import Utm, band, from_utm, to_utm, utm_zone
from ledger.places.mgrs import read_mgrs, to_mgrs, utm_to_mgrs

latitudes, longitudes = st.floats(-80, 84), st.floats(-180, 180)


@pytest.mark.parametrize(("latitude", "letter"), [(-80, "C"), (-0.001, "M"), (0, "N"), (72, "X"), (84, "X")])
def test_a_band_begins_at_its_southern_edge(latitude: float, letter: str) -> None:
    assert band(latitude) == letter


@pytest.mark.parametrize("latitude", [84.001, 90, -80.001, -90])
def test_the_poles_are_refused_with_a_way_out(latitude: float) -> None:
    with pytest.raises(PlaceError, match="decimal degrees"):
        to_utm(latitude=latitude, longitude=0)


def test_180_east_is_180_west() -> None:
    assert utm_zone(latitude=10, longitude=180) == utm_zone(latitude=10, longitude=-180) == 1


def test_a_neighbouring_zone_can_be_asked_for() -> None:
    neighbour = to_utm(latitude=48.0, longitude=11.9, zone=33)
    assert neighbour.zone == 33
    assert from_utm(neighbour) == pytest.approx((48.0, 11.9), abs=1e-10)


def test_digits_are_cut_off_and_never_rounded() -> None:
    utm = Utm(zone=33, hemisphere="N", easting_m=472_299.999, northing_m=6_487_899.9)
    assert utm_to_mgrs(utm, digits=3) == "33VVE722878"


def test_a_hair_south_of_the_equator_stays_in_the_last_southern_row() -> None:
    assert to_mgrs(latitude=-1e-12, longitude=9.0) == "32MNE0000099999"


def test_zones_below_ten_have_no_leading_nought() -> None:
    assert to_mgrs(latitude=21.3, longitude=-157.9, digits=0).startswith("4Q")


@pytest.mark.parametrize("text", ["", "33V", "33VIE12", "33VVE1", "00VVE12", "33VVEab", "33VVE" + "1" * 18])
def test_what_is_no_grid_reference_is_refused(text: str) -> None:
    with pytest.raises(PlaceError):
        read_mgrs(text)


def test_a_row_that_its_band_does_not_have_is_refused() -> None:
    with pytest.raises(PlaceError, match="no square in row"):
        read_mgrs("33VVA 12345 12345")


@given(latitudes, longitudes)
def test_utm_comes_back_within_a_micrometre(latitude: float, longitude: float) -> None:
    back = from_utm(to_utm(latitude=latitude, longitude=longitude))
    assert back[0] == pytest.approx(latitude, abs=1e-10)
    # 180 and -180 are one meridian.
    assert (back[1] - longitude + 180) % 360 - 180 == pytest.approx(0, abs=1e-9)


@given(latitudes, longitudes, st.integers(0, 5))
def test_a_written_reference_reads_back_as_itself(latitude: float, longitude: float, digits: int) -> None:
    reference = to_mgrs(latitude=latitude, longitude=longitude, digits=digits)
    assert read_mgrs(reference).reference == reference


@given(st.text(max_size=20))
def test_no_text_gives_any_error_but_a_place_error(text: str) -> None:
    try:
        cell = read_mgrs(text)
    except PlaceError:
        return
    assert cell.side_m > 0
