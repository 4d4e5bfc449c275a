import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.distance import between_m
from ledger.places.errors import PlaceError
from ledger.places.iso6709 import is_iso6709, parse_iso6709, write_iso6709
from ledger.places.position import Position

positions = st.builds(
    Position,
    latitude=st.floats(-90, 90),
    longitude=st.floats(-180, 180),
    altitude_m=st.none() | st.floats(-500, 9000),
    uncertainty_m=st.floats(1, 1000),
)


@pytest.mark.parametrize(
    "text", ["", "40-075/", "+4-075/", "+40-75/", "+4060-07500/", "+91+000/", "+00+181/", "+40-075350/"]
)
def test_what_is_no_such_string_is_refused(text: str) -> None:
    with pytest.raises(PlaceError):
        parse_iso6709(text)


def test_another_reference_system_is_kept_by_name() -> None:
    assert parse_iso6709("+40-075CRSNAD27/").datum == "NAD27"


def test_a_height_is_written_with_its_reference_system() -> None:
    written = write_iso6709(Position(latitude=1, longitude=2, altitude_m=-3.5, uncertainty_m=200_000))
    assert written == "+01+002-3.5CRSWGS_84/"


@given(positions)
def test_what_is_written_reads_back(position: Position) -> None:
    written = write_iso6709(position)
    back = parse_iso6709(written)
    assert is_iso6709(written)
    assert back.altitude_m == (
        None if position.altitude_m is None else pytest.approx(position.altitude_m, abs=0.0006)
    )
    assert between_m(position, back) <= (position.uncertainty_m or 0)


@given(st.text(alphabet="0123456789+-./CRSWG_84", max_size=30))
def test_no_text_gives_any_error_but_a_place_error(text: str) -> None:
    try:
        parse_iso6709(text)
    except PlaceError:
        return
    assert is_iso6709(text)
