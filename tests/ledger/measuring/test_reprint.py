"""A card that was printed too small or too large, by what a ruler says of its line."""

import math

import numpy as np
import pytest

from ledger.measuring.detect import CardView, find_card
from ledger.measuring.lengths import measure
from ledger.measuring.reprint import reprinted, share_of_line
from ledger.measuring.view import U_LENS, U_PRINTED
from tests.ledger.measuring.making import picture, setup, straight_view

ENDS = ((300.5, 250.0), (1200.0, 900.25))


def test_lengths_grow_with_the_print_and_so_does_their_uncertainty():
    plain, small = measure(straight_view(), *ENDS), measure(reprinted(straight_view(), 0.97), *ENDS)
    assert small.mm == pytest.approx(0.97 * plain.mm, rel=1e-9)
    assert small.u_mm == pytest.approx(0.97 * plain.u_mm, rel=1e-6)


def test_it_is_the_view_that_is_found_when_the_print_is_known_beforehand():
    grey = picture(setup(tilt=20.0))
    after, before = find_card(grey), find_card(grey, printed_mm_per_mm=0.96)
    assert isinstance(after, CardView) and isinstance(before, CardView)
    made = reprinted(after, 0.96)
    for one, other in ((measure(made, *ENDS), measure(before, *ENDS)),):
        assert one.mm == pytest.approx(other.mm, rel=1e-6)
        assert one.u_mm == pytest.approx(other.u_mm, rel=1e-3)
    assert np.allclose(made.corners_px, before.corners_px, atol=1e-3)


def test_told_twice_it_is_the_second_and_taken_back_it_is_as_found():
    twice = reprinted(reprinted(straight_view(), 0.9), 1.02)
    assert measure(twice, *ENDS).mm == pytest.approx(1.02 * measure(straight_view(), *ENDS).mm, rel=1e-9)
    back = reprinted(twice, 1.0)
    assert measure(back, *ENDS).u_mm == pytest.approx(measure(straight_view(), *ENDS).u_mm, rel=1e-9)


def test_what_was_seen_of_the_card_stays():
    made = reprinted(straight_view(), 0.95)
    assert np.allclose(made.corners_px, straight_view().corners_px, atol=1e-6)
    assert (made.residual_px, made.markers) == (straight_view().residual_px, straight_view().markers)


def test_half_a_millimetre_read_is_what_a_print_nobody_measured_is_taken_for():
    # GUM F.2.2.1: 0.5 / sqrt(12) of 50 mm is 0.0029.
    assert share_of_line(0.5) == pytest.approx(U_PRINTED, rel=0.05)
    assert share_of_line(0.5) == pytest.approx(math.hypot(0.5 / math.sqrt(12) / 50, 0.001))


def test_a_calliper_leaves_less_and_the_lens_stays():
    fine = reprinted(straight_view(), 0.984, u_printed=share_of_line(0.1))
    assert fine.share < straight_view().share
    assert fine.share > U_LENS
