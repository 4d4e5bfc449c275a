import math

import pytest

from ledger.measuring.lengths import measure
from ledger.measuring.ruler import PLANE_SHARE, from_two_points


def test_two_points_on_a_ruler_give_the_scale():
    view = from_two_points((100, 100), (100, 1100), 100.0)
    assert view.mm_per_px == pytest.approx(0.1)


def test_what_lies_between_the_points_is_as_long_as_was_said():
    view = from_two_points((100, 100), (700, 900), 50.0)
    assert measure(view, (100, 100), (700, 900), pointing_px=0.0).mm == pytest.approx(50.0)


def test_the_scale_is_as_uncertain_as_pointing_and_the_ruler_s_marks_make_it():
    view = from_two_points((0, 0), (1000, 0), 100.0, pointing_px=2.0)
    pointing, marks = math.sqrt(2) * 2.0 / 1000, 0.2 / math.sqrt(3) / 100
    assert view.share == pytest.approx(math.hypot(pointing, marks))
    assert view.u_mm_per_px == pytest.approx(0.1 * view.share)


def test_not_knowing_the_tilt_counts_in_every_length():
    length = measure(from_two_points((0, 0), (1000, 0), 100.0), (0, 0), (0, 500), pointing_px=0.0)
    assert length.plane_mm == pytest.approx(50.0 * PLANE_SHARE)
    assert length.u_mm > length.plane_mm


def test_it_says_that_the_tilt_is_not_known():
    (sentence,) = from_two_points((0, 0), (1000, 0), 100.0).sentences
    assert sentence.startswith("Scale from a ruler, 10.0 pixels per mm. How the photo is tilted is not known")
    assert "good to 11 %" in sentence


def test_points_near_each_other_are_said_to_be():
    assert "near each other" in from_two_points((0, 0), (90, 0), 10.0).sentences[1]


@pytest.mark.parametrize("mm", [0.0, -5.0, math.nan, math.inf])
def test_a_length_that_is_none_is_refused(mm):
    with pytest.raises(ValueError, match="above 0 mm"):
        from_two_points((0, 0), (100, 0), mm)


def test_one_point_twice_is_refused():
    with pytest.raises(ValueError, match="one place"):
        from_two_points((7, 7), (7, 7), 10.0)


def test_a_height_above_the_plane_claims_little_where_the_photo_s_size_is_not_known():
    unknown = measure(from_two_points((0, 0), (1000, 0), 100.0), (0, 0), (500, 0), above_mm=10.0)
    known = measure(
        from_two_points((0, 0), (1000, 0), 100.0, size_px=(4000, 3000)), (0, 0), (500, 0), above_mm=10.0
    )
    assert unknown.mm == pytest.approx(known.mm)
    assert unknown.u_mm > known.u_mm
