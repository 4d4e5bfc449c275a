"""A thick bracket among thin ones."""

import pytest

from vouchers.preparation.thickness import thick_among, thickest_mm


def test_the_thickest_replicate_or_the_high_end_counts():
    assert thickest_mm([4.0, 22.0], None) == 22
    assert thickest_mm([], 35.0) == 35
    assert thickest_mm([], None) is None


def test_a_thick_one_is_named_with_the_others_beside_it():
    (thick,) = thick_among({"AT 1": 4.0, "AT 2": 8.0, "PR 30": 60.0})
    assert thick.name == "PR 30"
    assert thick.sentence.startswith("PR 30 is 60 mm thick, the others that were measured 4 to 8 mm.")


def test_others_of_one_thickness_are_told_by_one_number():
    (thick,) = thick_among({"AT 1": 5.0, "AT 2": 5.0, "PR 30": 60.0})
    assert "measured 5 mm" in thick.sentence


def test_among_thin_ones_twice_is_not_yet_thick():
    assert thick_among({"AT 1": 2.0, "AT 2": 2.5, "AT 3": 6.0}) == []


def test_all_alike_one_alone_and_none_say_nothing():
    assert thick_among({"AT 1": 40.0, "AT 2": 42.0}) == []
    assert thick_among({"AT 1": 90.0}) == []
    assert thick_among({}) == []


@pytest.mark.parametrize(
    ("thin", "thick", "is_told"),
    [(20, 39.9, False), (20, 40, True), (4, 13.9, False), (4, 14, True)],
)
def test_thick_is_twice_the_others_and_a_finger_s_breadth_more(thin: float, thick: float, is_told: bool):
    assert bool(thick_among({"AT 1": thin, "AT 2": thin, "PR 30": thick})) is is_told
