import pytest
from django.utils import translation
from hypothesis import assume, given
from hypothesis import strategies as st

from ledger.places.distance import between_m
from ledger.places.parse import parse_position
from ledger.places.position import Position
from ledger.places.text import decimal_text, dms_text, metres_text, signed_text, with_datum_and_error

positions = st.builds(
    Position,
    latitude=st.floats(-90, 90),
    longitude=st.floats(-180, 180),
    uncertainty_m=st.none() | st.floats(1, 50_000),
)


@pytest.mark.parametrize(
    ("uncertainty_m", "expected"),
    [
        (1.0, "51.507400, -0.127800"),
        (10.0, "51.50740, -0.12780"),
        (30.0, "51.5074, -0.1278"),
        (500.0, "51.507, -0.128"),
        (5_000.0, "51.51, -0.13"),
        (200_000.0, "52, 0"),
        (None, "51.50740, -0.12780"),
    ],
)
def test_the_uncertainty_sets_the_number_of_digits(uncertainty_m: float | None, expected: str) -> None:
    position = Position(latitude=51.5074, longitude=-0.1278, uncertainty_m=uncertainty_m)
    assert signed_text(position) == expected


def test_sixty_seconds_are_carried_into_the_minute_and_the_degree() -> None:
    position = Position(latitude=12.999999, longitude=-29.9999999, uncertainty_m=50)
    assert dms_text(position) == "13°00'00\"N 30°00'00\"W"


@pytest.mark.parametrize(
    ("uncertainty_m", "expected"),
    [
        (1, "51°30'26.64\"N 0°07'40.08\"W"),
        (50, "51°30'27\"N 0°07'40\"W"),
        (3_000, "51°30'N 0°08'W"),
        (200_000, "52°N 0°E"),
    ],
)
def test_degrees_minutes_and_seconds_shrink_with_the_uncertainty(uncertainty_m: float, expected: str) -> None:
    assert dms_text(Position(latitude=51.5074, longitude=-0.1278, uncertainty_m=uncertainty_m)) == expected


def test_nought_is_north_and_east() -> None:
    assert decimal_text(Position(latitude=-1e-9, longitude=-0.0)) == "0.00000°N 0.00000°E"


def test_datum_and_error_stand_beside_the_coordinates() -> None:
    position = Position(latitude=51.5074, longitude=-0.1278, uncertainty_m=30)
    assert with_datum_and_error(position) == "51.5074°N 0.1278°W (WGS84, ± 30 m)"


def test_an_unknown_error_is_said_to_be_unknown() -> None:
    assert with_datum_and_error(Position(latitude=51.5, longitude=0, datum="")) == (
        "51.50000°N 0.00000°E (datum not known, error not known)"
    )


def test_what_is_printed_in_german_reads_back() -> None:
    with translation.override("de"):
        told = with_datum_and_error(Position(latitude=51.5, longitude=0, datum=""))
        assert told == "51.50000°N 0.00000°E (Bezugssystem nicht bekannt, Fehler nicht bekannt)"
        assert parse_position(told).latitude == 51.5


@pytest.mark.parametrize(
    ("metres", "text"), [(7.1, "8 m"), (30.0, "30 m"), (5_199.2, "5200 m"), (15_690.3, "15.7 km")]
)
def test_lengths_are_rounded_up_so_that_they_still_cover(metres: float, text: str) -> None:
    assert metres_text(metres) == text


@given(positions, st.sampled_from([decimal_text, dms_text, signed_text]))
def test_what_is_printed_reads_back_within_its_uncertainty(position: Position, printer: object) -> None:
    # Close to the poles a unit of longitude is nothing and one of latitude everything; the rule still holds there.
    back = parse_position(printer(position))  # type: ignore[operator]
    assert between_m(position, back) <= max(position.uncertainty_m or 0, 5)


@given(positions)
def test_the_full_print_keeps_the_error_or_more(position: Position) -> None:
    assume(position.uncertainty_m is not None)
    back = parse_position(with_datum_and_error(position))
    assert back.datum == "WGS84"
    # to a thousand-millionth: less than the last digit of the float is no metre
    assert (back.uncertainty_m or 0) >= (position.uncertainty_m or 0) * (1 - 1e-9)


def test_an_error_that_cannot_be_is_told_as_given():
    place = Position(latitude=51.5, longitude=0)
    assert with_datum_and_error(place, given_m=0.0).endswith("(WGS84, error given as 0 m)")
