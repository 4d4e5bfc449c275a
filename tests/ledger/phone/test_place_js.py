"""What the phone says of where it is and which way it points: the best of it kept, and nothing read into it.

W3C Geolocation (www.w3.org/TR/geolocation, GeolocationCoordinates): `accuracy` is the error of latitude and longitude in
metres at the 95 % level; `altitude` is the height above the WGS 84 ellipsoid, not above the sea, null where it is not
known; `altitudeAccuracy` its error at the same level.

W3C DeviceOrientation Event (www.w3.org/TR/orientation-event): `alpha` turns the other way round than a compass; a device
that lies flat with its top to the west has alpha 90, and its compass heading is 360 - alpha. Whether north is the true or
the magnetic one is left to the device.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.js_side import JsSide


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_place.mjs")
    yield side
    side.close()


def fix(accuracy: float, **given: Any) -> dict[str, Any]:
    return {"latitude": 51.2, "longitude": -2.3, "accuracy": accuracy} | given


NO_FIX, NOT_ALLOWED = {"code": 2}, {"code": 1}


def test_each_better_fix_is_told_and_the_best_is_kept(js: JsSide) -> None:
    heard = js.ask("watch", [fix(40), fix(90), fix(12), fix(30)])
    assert heard["bests"] == [40, 12]
    assert (heard["best"], heard["reason"]) == (12, None)


def test_it_listens_for_satellites_and_takes_no_old_place(js: JsSide) -> None:
    options = js.ask("watch", [])["options"]
    assert options["enableHighAccuracy"] is True
    assert options["maximumAge"] == 0


def test_it_ends_by_itself_when_it_is_good_enough(js: JsSide) -> None:
    assert js.ask("watch", [fix(40), fix(5), fix(1)])["bests"] == [40, 5]


def test_a_tap_ends_it_and_what_comes_later_changes_nothing(js: JsSide) -> None:
    heard = js.ask("watch", [fix(40), "stop", fix(8)])
    assert (heard["best"], heard["bests"]) == (40, [40])
    assert heard["cleared"] == 7  # the phone listens no longer


def test_a_phone_that_does_not_allow_it_is_not_asked_on(js: JsSide) -> None:
    heard = js.ask("watch", [NOT_ALLOWED, fix(8)])
    assert heard["best"] is None
    assert heard["reason"].startswith("The phone did not allow it. Nothing was changed")


def test_after_no_fix_one_may_still_come(js: JsSide) -> None:
    assert js.ask("watch", [NO_FIX, fix(25)])["best"] == 25


@pytest.mark.parametrize(
    ("told", "begins"), [([], "No place within 30 seconds"), ([NO_FIX], "The phone found no place")]
)
def test_no_place_at_all_ends_with_what_to_do(js: JsSide, told: list[Any], begins: str) -> None:
    heard = js.ask("watch", told)
    assert heard["reason"].startswith(begins)
    assert heard["reason"].endswith("or type it.")


@pytest.mark.parametrize(
    "useless", [fix(5, latitude=None), fix(5, longitude=None), {"latitude": 1, "longitude": 2}, fix(-1)]
)
def test_a_fix_without_a_place_or_an_error_is_none(js: JsSide, useless: dict[str, Any]) -> None:
    assert js.ask("better", fix(40), useless) == fix(40)
    assert js.ask("better", None, useless) is None


def test_of_two_equal_fixes_the_first_stands(js: JsSide) -> None:
    assert js.ask("better", fix(12, latitude=1), fix(12, latitude=2))["latitude"] == 1


def test_the_compass_counts_the_other_way_round_than_alpha(js: JsSide) -> None:
    assert js.ask("headingOf", {"alpha": 90, "beta": 0, "gamma": 0, "absolute": True}) == 270
    assert js.ask("headingOf", {"alpha": 0, "beta": 0, "gamma": 0, "absolute": True}) == 0


def test_a_turn_that_counts_from_nowhere_is_no_direction(js: JsSide) -> None:
    assert js.ask("headingOf", {"alpha": 90, "absolute": False}) is None
    assert js.ask("headingOf", {"alpha": None, "absolute": True}) is None


def test_a_phone_held_upright_tells_no_direction(js: JsSide) -> None:
    """Beyond the upright its top points the other way, and so would the direction."""
    assert js.ask("headingOf", {"alpha": 90, "beta": 40, "absolute": True}) == 270
    assert js.ask("headingOf", {"alpha": 90, "beta": 95, "absolute": True}) is None
    assert js.ask("headingOf", {"alpha": 90, "beta": -120, "absolute": True}) is None


def test_a_heading_that_the_phone_gives_itself_is_taken_as_it_is(js: JsSide) -> None:
    assert js.ask("headingOf", {"webkitCompassHeading": 123.4, "alpha": 12}) == pytest.approx(123.4)


@pytest.mark.parametrize(
    ("headings", "middle"), [([350, 10], 0), ([359, 1, 2], 1), ([90], 90), ([179, 181], 180), ([359.7], 0)]
)
def test_directions_are_averaged_on_the_circle(js: JsSide, headings: list[float], middle: int) -> None:
    assert js.ask("middleOf", headings) == middle
