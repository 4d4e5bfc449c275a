"""The views still missing, and the same on the phone."""

from collections.abc import Iterator
from itertools import combinations, product

import pytest

from ledger.photos.view_gaps import missing_says, missing_views
from ledger.photos.view_table import VIEWS
from tests.js_side import JsSide

HABITS = ((), ("bracket",), ("resupinate",), ("bracket", "resupinate"))
UNDERSIDES = ((), ("pores",), ("maze", "pores"), ("gills",), ("pores", "teeth"))


@pytest.fixture(scope="module")
def js() -> Iterator[JsSide]:
    side = JsSide("run_views.mjs")
    yield side
    side.close()


def test_without_a_photo_every_view_is_to_be_taken() -> None:
    missing = missing_views((), habits=(), undersides=())
    assert missing_says(missing, is_amended=False) == (
        "Before you pick it, still to photograph: cap from above, underside, from the side, cut, place, scale."
    )


def test_what_is_there_is_left_out() -> None:
    assert missing_views({"cap", "underside", "", "margin"}, habits=(), undersides=()) == (
        *("from the side", "cut", "place", "scale"),
    )


def test_growth_without_a_cap_has_no_cap_and_no_side() -> None:
    assert missing_views((), habits={"resupinate"}, undersides=()) == (
        *("underside", "cut", "place", "scale"),
    )
    assert "cap from above" in missing_views((), habits={"resupinate", "bracket"}, undersides=())


def test_pores_want_the_scale_beside_them() -> None:
    assert missing_views((), habits=(), undersides={"pores"})[-1] == "scale by the pores"
    assert missing_views((), habits=(), undersides={"gills"})[-1] == "scale"


def test_a_card_that_was_found_in_any_photo_is_enough() -> None:
    assert missing_views(VIEWS[:-1], habits=(), undersides={"pores"}, has_scale=True) == ()
    assert missing_says((), is_amended=True) == "Every view is there."


def test_of_an_amended_find_only_what_is_not_there_is_said() -> None:
    assert missing_says(("cut",), is_amended=True) == "Not photographed: cut."


def test_the_phone_says_the_same(js: JsSide) -> None:
    sets = [chosen for many in range(len(VIEWS) + 1) for chosen in combinations(("", *VIEWS), many)]
    for views, habits, undersides in product(sets, HABITS, UNDERSIDES):
        for has_scale in (True, False):
            here = missing_views(views, habits=habits, undersides=undersides, has_scale=has_scale)
            about = {"habits": habits, "undersides": undersides, "hasScale": has_scale}
            assert tuple(js.ask("missingViews", views, about)) == here
    for missing, is_amended in product(((), ("cut",), ("cap", "wood")), (True, False)):
        assert js.ask("missingSays", missing, {"isAmended": is_amended}) == missing_says(
            missing, is_amended=is_amended
        )
