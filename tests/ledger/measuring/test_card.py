from itertools import combinations

import numpy as np
import pytest

from ledger.measuring.card import CHECK_LINE_MM, KINDS, MARKER_BITS, MODULES, SMALL, Box, GreyPatch, kind_of


def bits(marker_id):
    return np.array([int(bit) for bit in MARKER_BITS[marker_id]]).reshape(MODULES, MODULES)


def boxes(kind):
    """Everything printed that must not touch: markers, greys, the number's field and the code's."""
    marks = [Box(m.x_mm, m.y_mm, m.side_mm, m.side_mm) for m in kind.markers]
    return [*marks, *(patch.box for patch in kind.greys), kind.number_beside_code, kind.code_box]


def apart(one, other):
    return (
        one.x_mm + one.width_mm <= other.x_mm
        or other.x_mm + other.width_mm <= one.x_mm
        or one.y_mm + one.height_mm <= other.y_mm
        or other.y_mm + other.height_mm <= one.y_mm
    )


def test_the_small_card_is_as_large_as_a_bank_card():
    assert (SMALL.width_mm, SMALL.height_mm) == (85.0, 54.0)


def test_any_two_markers_differ_in_six_modules_however_they_are_turned():
    differing = [
        int(np.sum(bits(a) != np.rot90(bits(b), quarter)))
        for a, b in combinations(range(len(MARKER_BITS)), 2)
        for quarter in range(4)
    ]
    assert min(differing) == 6


def test_a_marker_differs_from_itself_turned_in_six_modules():
    differing = [
        int(np.sum(bits(marker) != np.rot90(bits(marker), quarter)))
        for marker in range(len(MARKER_BITS))
        for quarter in (1, 2, 3)
    ]
    assert min(differing) >= 6


def test_no_marker_is_on_two_kinds_of_card():
    ids = [marker.id for kind in KINDS.values() for marker in kind.markers]
    assert sorted(ids) == list(range(len(MARKER_BITS)))


def test_a_marker_says_which_kind_of_card_it_is_on():
    assert [kind_of(marker).code for marker in (0, 3, 4, 9)] == ["small", "small", "large", "large"]
    assert kind_of(10) is None


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_nothing_on_a_card_lies_on_anything_else(kind):
    assert [pair for pair in combinations(boxes(kind), 2) if not apart(*pair)] == []


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_marker_has_more_than_a_module_of_white_around_it(kind):
    for marker in kind.markers:
        white = 1.2 * marker.side_mm / (MODULES + 2)
        assert marker.x_mm >= white
        assert marker.x_mm + marker.side_mm + white <= kind.width_mm
        around = Box(*(at - white for at in (marker.x_mm, marker.y_mm)), *[marker.side_mm + 2 * white] * 2)
        assert all(apart(around, patch.box) for patch in kind.greys)
        assert apart(around, kind.number_beside_code)


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_the_check_line_is_fifty_mm_and_lies_on_the_card(kind):
    assert kind.check.length_mm == CHECK_LINE_MM == 50.0
    assert 0 < kind.check.x_mm < kind.check.x_mm + 50.0 < kind.width_mm


def test_the_corners_of_a_marker_go_clockwise_from_the_upper_left():
    assert SMALL.markers[0].corners_mm == ((3.5, 7.5), (16.5, 7.5), (16.5, 20.5), (3.5, 20.5))


def test_a_middle_grey_sends_back_a_fifth_of_the_light():
    # IEC 61966-2-1: the level 118 of 255 is 18 % grey.
    assert GreyPatch(Box(0, 0, 1, 1), 118).reflectance == pytest.approx(0.181, abs=0.001)
    assert GreyPatch(Box(0, 0, 1, 1), 255).reflectance == 1.0
