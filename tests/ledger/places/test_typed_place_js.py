"""What a phone says of a typed place without a signal: never that the ledger will ask where the ledger would take it."""

import re
import string
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.places.errors import PlaceError
from ledger.places.parse import parse_position
from ledger.places.position import Position
from ledger.record.visible import visible
from tests.js_side import KNOWN, JsSide

# Ways to write a place that the ledger reads; the drawn ones are cut and joined from them.
TAKEN = (
    *("51.5, -2.25", "51,5, -2,5", "51.5 -2.5", "51.5N 2.5W", "51°14'04\"N 2°20'44\"W", "51 14.07 N, 2 20.73 W"),
    *("N51º30’12” W2º15’30”", "lat 51.5 long -2.5", "latitude: 51.5, longitude: -2.5", "51 degrees north 2 degrees west"),
    *("UTM 30N 545678 5676543", "30 north 545678E 5676543N", "utm zone 30N 545678 5676543", "utmzone30N 545678 5676543"),
    *("MGRS 30UWB4567876543", "30U WB 45678 76543", "30uwb4567", "+51.2345-002.3456/", "+51.2345-002.3456+120CRSWGS_84/"),
    *("51.5, -2.25 WGS84", "51.5, -2.25 (ETRS89, ± 30 m)", "51.5, -2.25 accuracy 30 metres", "51.5 -2.25 alt 120 m"),
    *("51.5, -2.25 (WGS84, error not known)", "51.5, -2.25 elevation: 120 meters", "５１.５, -2.25"),
    *("51 deg 30 min 12 sec N 2 deg 15 min 30 sec W", "51.5, -2.25 OSGB36", "51.5, -2.25 EPSG:4326"),
    "datum not known 51.5, -2.25",
)  # fmt: skip
ASKED = (
    *("SU 123 456", "ST758482", "abc", "12 parsec", "around 51.5, -2.5", "by the brook", "51.5", "-2", "95.5, 2.5"),
    *("99.1, 200", "99.1,200", "99, 200", "51, 190", "51.5, 181.5", "545678 5676543", "near 51.2 -2.3"),
    *("Münsterwald 12", "51.5, 2.5 Potsdam"),
)  # fmt: skip

_PIECES = sorted({piece for text in (*TAKEN, *ASKED) for piece in re.split(r"(\s|,)", text) if piece})
drawn = st.lists(st.sampled_from(_PIECES), min_size=1, max_size=8).map("".join) | st.text(KNOWN, max_size=30)
degrees = st.decimals(-190, 190, places=4).map(str) | st.integers(-190, 190).map(str)


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_place.mjs")
    yield side
    side.close()


def read(text: str) -> Position | None:
    try:
        return parse_position(visible(text).strip())
    except PlaceError:
        return None


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("51.5, -2.25", "51.5° north, 2.25° west"),
        (" -33.9,18.4 ", "33.9° south, 18.4° east"),
        ("51.234567, -2.345678", "51.234567° north, 2.345678° west"),
        ("51, -2.25", "51° north, 2.25° west"),
        ("51, 7", "51° north, 7° east"),
    ],
)
def test_plain_decimal_degrees_are_read_back_here(js: JsSide, typed: str, said: str) -> None:
    assert js.ask("placeTyped", typed)["sentence"] == f"Read as {said}."


@pytest.mark.parametrize("typed", ["99.1, 200", "99.1,200", "99, 200"])
def test_a_latitude_beyond_90_degrees_is_said_to_be_one(js: JsSide, typed: str) -> None:
    assert js.ask("placeTyped", typed)["sentence"].startswith("The first number is beyond 90 degrees.")


def test_a_comma_that_may_be_a_decimal_one_is_left_to_the_ledger(js: JsSide) -> None:
    assert js.ask("placeTyped", "51,7")["kind"] == "later"


@pytest.mark.parametrize("typed", TAKEN)
def test_no_way_of_writing_that_the_ledger_takes_is_asked_about(js: JsSide, typed: str) -> None:
    assert read(typed) is not None
    assert js.ask("placeTyped", typed)["kind"] in ("read", "later")


@pytest.mark.parametrize("typed", ASKED)
def test_what_the_ledger_will_surely_ask_about_is_told_on_the_phone(js: JsSide, typed: str) -> None:
    assert read(typed) is None
    assert js.ask("placeTyped", typed)["kind"] == "asked"


def test_no_two_letters_before_figures_are_a_place_of_the_ledger(js: JsSide) -> None:
    for letters in (one + other for one in string.ascii_letters for other in string.ascii_letters):
        assert js.ask("placeTyped", f"{letters} 12 34")["kind"] == "asked"
        assert read(f"{letters} 12 34") is None


@given(typed=drawn)
def test_whatever_is_typed_the_phone_asks_about_nothing_that_the_ledger_takes(js: JsSide, typed: str) -> None:
    said: dict[str, Any] | None = js.ask("placeTyped", typed)
    if said and said["kind"] == "asked":
        assert read(typed) is None, said["sentence"]


@given(latitude=degrees, longitude=degrees)
def test_decimal_degrees_are_the_same_place_on_the_phone_and_on_the_ledger(
    js: JsSide, latitude: str, longitude: str
) -> None:
    said, taken = js.ask("placeTyped", f"{latitude}, {longitude}"), read(f"{latitude}, {longitude}")
    assert (said["kind"] == "read") == (taken is not None)
    if taken is not None:
        assert (said["latitude"], said["longitude"]) == (taken.latitude, taken.longitude)


@pytest.mark.parametrize("typed", ["", "   "])
def test_an_empty_box_says_nothing(js: JsSide, typed: str) -> None:
    assert js.ask("placeTyped", typed) is None
