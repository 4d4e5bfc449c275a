"""Which marks show the same place."""

import pytest

from ledger.measuring.overlap import Mark, places

PATCH = Mark("one", (100, 100), (300, 300), True)
WITHIN = Mark("one", (150, 150), (250, 240), False)
BESIDE = Mark("one", (400, 100), (600, 100), False)


def test_a_line_within_a_patch_is_no_second_place() -> None:
    assert places([PATCH, BESIDE, WITHIN]) == [0, 1, 0]


@pytest.mark.parametrize(
    "other",
    [
        Mark("two", (150, 150), (250, 240), False),
        Mark("one", (280, 280), (480, 480), True),
        Mark("one", (250, 200), (500, 200), False),
    ],
    ids=["on another photo", "a corner in common", "only its end within"],
)
def test_what_lies_elsewhere_is_another_place(other: Mark) -> None:
    assert places([PATCH, other]) == [0, 1]


def test_a_line_drawn_twice_is_one_place_and_one_across_it_another() -> None:
    again, across = Mark("one", (405, 104), (590, 97), False), Mark("one", (500, 20), (500, 180), False)
    assert places([BESIDE, again, across]) == [0, 0, 2]


def test_patches_that_overlap_one_by_one_are_one_place() -> None:
    row = [Mark("one", (x, 0), (x + 100, 100), True) for x in (0, 80, 40)]
    assert places(row) == [0, 0, 0]


def test_two_points_in_one_are_within_nothing_but_themselves() -> None:
    dot = Mark("one", (5, 5), (5, 5), False)
    assert places([dot, dot, BESIDE]) == [0, 0, 2]
