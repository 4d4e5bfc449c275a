import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.errors import AmbiguousPlace, PlaceError
from ledger.places.parse import parse_position

# One place, some 0.0001 degrees wide, as people write it: 51.5075, -0.127777...
SAME_PLACE = [
    "51.5075, -0.12778",
    "51.5075 -0.12778",
    "51,5075 -0,12778",
    "51,5075; -0,12778",
    "51,5075, -0,12778",
    "51,5075,-0,12778",
    "51.5075,-0.12778",
    "(51.5075, -0.12778)",
    "51.5075N 0.12778W",
    "N51.5075 W0.12778",
    "0.12778 W, 51.5075 N",
    "lat 51.5075 long -0.12778",
    "Latitude: 51.5075, Longitude: -0.12778",
    "51.5075° north / 0.12778° west",
    "51°30'27\"N 0°07'40\"W",
    "51°30′27″N, 0°07′40″W",
    "51º30’27” N 0º7’40” W",
    "N 51 30 27 W 0 7 40",
    "51 30 27 N 0 7 40 W",
    "51 30 27, -0 7 40",
    "51:30:27 -0:07:40",
    "51d30m27sN 0d07m40sW",
    "51 deg 30 min 27 sec N 0 deg 7 min 40 sec W",
    "51-30-27N 000-07-40W",
    "513027N 0000740W",
    "51°30.45'N 0°7.6667'W",
    "51 30.45 N 0 7.6667 W",
    "51°30,45'N 0°7,6667'W",
    "N 51° 30.450 W 000° 07.667",
    "+513027-0000740/",
    "+51.5075-000.12778/",
    "\u200b51.5075,\u00a0−0.12778",
    "５１.5075, -0.12778",
]


@pytest.mark.parametrize("text", SAME_PLACE)
def test_one_place_is_read_alike_however_it_is_written(text: str) -> None:
    position = parse_position(text)
    assert position.latitude == pytest.approx(51.5075, abs=1e-5)
    assert position.longitude == pytest.approx(-0.12778, abs=1e-5)
    assert position.typed == text


AMBIGUOUS = {
    "-81 W": ("81°E alone", "81°W alone"),
    "41.5 N -81.0 W": ("latitude 41.5°N, longitude 81.0°E", "latitude 41.5°N, longitude 81.0°W"),
    "10 30": ("latitude 10°N, longitude 30°E", "10°30' alone"),
    "10,30": ("latitude 10°N, longitude 30°E", "10.30° alone"),
    "51 30 2": ("latitude 51°N, longitude 30°2'E", "latitude 51°30'N, longitude 2°E", "51°30'2\" alone"),
    "51 N 2 O": ("latitude 51°N, longitude 2°E", "latitude 51°N, longitude 2°W"),
    "1,2,3,4": ("latitude 1.2°N, longitude 3.4°E", "latitude 1°2'N, longitude 3°4'E"),
    "51,23,-2,34": ("latitude 51.23°N, longitude 2.34°W", "latitude 51°23'N, longitude 2°34'W"),
    "51,5 2": ("latitude 51.5°N, longitude 2°E", "latitude 51°N, longitude 5°2'E"),
}


@pytest.mark.parametrize(("text", "readings"), AMBIGUOUS.items(), ids=list(AMBIGUOUS))
def test_an_ambiguous_place_is_refused_with_every_reading_shown(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(AmbiguousPlace) as refusal:
        parse_position(text)
    assert set(refusal.value.readings) == set(readings)
    assert all(reading in str(refusal.value) for reading in readings)


def test_four_numbers_between_commas_are_decimals_where_they_cannot_be_minutes() -> None:
    position = parse_position("51,72,2,65")
    assert (position.latitude, position.longitude) == (51.72, 2.65)


def test_an_o_beside_a_north_is_still_east_or_west() -> None:
    with pytest.raises(AmbiguousPlace):
        parse_position("51.5 N, 2.3o")


def test_a_comma_before_three_figures_of_an_error_parts_thousands() -> None:
    assert parse_position("51.50, -2.30 ± 5,200 m").uncertainty_m == 5200
    assert parse_position("51.50, -2.30 ± 5,2 km").uncertainty_m == 5200


def test_a_number_without_a_side_beside_one_with_a_side_may_lie_east_or_west() -> None:
    with pytest.raises(AmbiguousPlace, match=r"longitude 2\.25°E.*longitude 2\.25°W"):
        parse_position("51.5 N 2.25")


def test_swapped_order_is_refused_and_the_likely_order_shown() -> None:
    with pytest.raises(PlaceError, match=r"beyond 90 degrees.*latitude 45\.2°N, longitude 120\.5°W"):
        parse_position("-120.5, 45.2")


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing was typed"),
        ("   ", "Nothing was typed"),
        ("behind the church", "words, not coordinates: put them in Place in words"),
        ("51.5, -2.3 behind the church", "'behind' is a word"),
        ("ST 758 482", "Grid letters of a country are not read here.*UTM/MGRS"),
        ("st758482", "Grid letters of a country"),
        ("5o.5, -2.3", "'5o.5' has the letter o.*type 50.5"),
        ("5o, -2.3", "'5o' has the letter o.*type 50"),
        ("5l.5, -2.3", "'5l.5' has the letter l.*type 51.5"),
        ("51.5", "51.5° alone"),
        ("51°30'", "51°30' alone"),
        ("51 30 N", "51°30'N alone"),
        ("51°60' 2°0'", "stay under 60"),
        ("51°30'60\"N 2°0'0\"W", "stay under 60"),
        ("51.5°30' 2°0'", "only the last part"),
        ("95 200", "latitude ends at 90"),
        ("51 N 2 N", "cannot be read"),
        ("40.2-75.0", "dash"),
        ("nan, nan", "words, not coordinates"),
        ("51.5 ~ 2.3", "does not belong"),
        ("1e3, 2", "cannot be read"),
        ("9" * 201, "at most 200"),
        ("51.5, -2.3 WGS84 NAD27", "Two datums"),
        ("+91+000/", "beyond 90"),
        ("51.5, -2.3 ± 0 m", "cannot be"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_reason(text: str, reason: str) -> None:
    with pytest.raises(PlaceError, match=reason):
        parse_position(text)


@pytest.mark.parametrize("text", ["0, 0", "0,0", "0 N 0 E", "+00+000/"])
def test_nought_nought_is_a_place_like_any_other(text: str) -> None:
    position = parse_position(text)
    assert (position.latitude, position.longitude) == (0, 0)


def test_the_minus_of_minus_nought_degrees_is_kept() -> None:
    assert parse_position("-0 1 24.95, 0 2 0.00").latitude == pytest.approx(-0.0235972, abs=1e-7)


def test_the_digits_typed_set_the_least_uncertainty() -> None:
    # 0.1 degree at the equator: 15691 m in Chapman & Wieczorek's table.
    assert parse_position("0.0, 20.0").uncertainty_m == pytest.approx(15691, abs=1)


def test_the_coarser_of_two_unlike_numbers_sets_the_precision() -> None:
    assert parse_position("51.50746, -0.1").precision_deg == 0.1


def test_a_stated_error_smaller_than_the_digits_allow_is_not_believed() -> None:
    assert parse_position("51.50, -2.30 ± 5 m").uncertainty_m == parse_position("51.50, -2.30").uncertainty_m


def test_a_stated_error_larger_than_the_digits_is_taken() -> None:
    assert parse_position("51.50746, -2.30112 ± 0,03 km").uncertainty_m == 30


def test_datum_and_altitude_beside_the_numbers_are_kept() -> None:
    position = parse_position("51.5074, -2.3011 NAD 27, alt. 120 m")
    assert (position.datum, position.altitude_m) == ("NAD27", 120)


@pytest.mark.parametrize(
    "text",
    [
        "33N 452123 5412345",
        "33n 452123 5412345",
        "33 N 452123, 5412345",
        "33U 452123 5412345",
        "33 north 452123 5412345",
        "UTM zone 33N 452123mE 5412345mN",
        "33N 5412345N 452123E",
        "452123 5412345 33N",
        "33UVQ 52123 12345",
        "33UVQ5212312345",
    ],
)
def test_grid_coordinates_are_read_in_their_usual_forms(text: str) -> None:
    position = parse_position(text)
    assert position.latitude == pytest.approx(48.86222, abs=1e-5)
    assert position.longitude == pytest.approx(14.34723, abs=1e-5)
    assert position.least_uncertainty_m == 1


def test_s_after_the_zone_may_be_the_southern_half_or_a_band() -> None:
    with pytest.raises(AmbiguousPlace, match=r"southern half.*band S"):
        parse_position("33S 452123 4012345")


def test_s_after_the_zone_is_taken_where_only_one_reading_is_possible() -> None:
    assert parse_position("33S 452123 6012345").latitude < 0


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("452123 5412345", "without its zone"),
        ("33N 5412345 452123", "swapped"),
        ("33V 452123 5412345", "band U"),
        ("61N 452123 5412345", "no zone 61"),
        ("33UVQ 5212 345", "as many of each"),
        ("33UVQ 521", "even number"),
        ("33UAQ 52123 12345", "no column A"),
        ("32XMG 12345 12345", "no 32X"),
        ("33N 452123 5412345 NAD27", "another ellipsoid"),
    ],
)
def test_a_wrong_grid_coordinate_is_refused_with_the_reason(text: str, reason: str) -> None:
    with pytest.raises(PlaceError, match=reason):
        parse_position(text)


@given(st.text(max_size=60))
def test_no_text_gives_any_error_but_a_place_error(text: str) -> None:
    try:
        position = parse_position(text)
    except PlaceError:
        return
    assert position.typed == text


@given(st.text(alphabet="0123456789.,;:+-NSEWO °'\"/dmsUTMVXlatonCRS±", max_size=40))
def test_no_heap_of_coordinate_signs_gives_any_error_but_a_place_error(text: str) -> None:
    try:
        position = parse_position(text)
    except PlaceError:
        return
    assert position.uncertainty_m is not None
    assert position.uncertainty_m >= 1


@given(st.decimals(-90, 90, places=5), st.decimals(-180, 180, places=5))
def test_decimal_degrees_come_back_to_the_last_digit(latitude: object, longitude: object) -> None:
    position = parse_position(f"{latitude}, {longitude}")
    assert (position.latitude, position.longitude) == (float(str(latitude)), float(str(longitude)))


@given(
    st.decimals(-90, 90, places=4), st.decimals(-180, 180, places=4), st.sampled_from(["; ", " ", ", ", ","])
)
def test_a_decimal_comma_means_the_same_as_a_point(latitude: object, longitude: object, between: str) -> None:
    commas = f"{latitude}{between}{longitude}".replace(".", ",")
    points = parse_position(f"{latitude}; {longitude}")
    position = parse_position(commas)
    assert (position.latitude, position.longitude) == (points.latitude, points.longitude)
