import numpy as np
import pytest

from ledger.measuring.grey import white_balance
from tests.ledger.measuring.making import picture, setup, straight_view


def in_light_of(red, green, blue):
    """The photo of the card, its light coloured so (linear)."""
    grey = picture(setup()).astype(np.float64) / 255
    linear = np.where(grey <= 0.04045, grey / 12.92, ((grey + 0.055) / 1.055) ** 2.4)
    lit = np.clip(linear[..., None] * [red, green, blue], 0, 1)
    return np.rint(255 * np.where(lit <= 0.0031308, 12.92 * lit, 1.055 * lit ** (1 / 2.4) - 0.055)).astype(
        np.uint8
    )


def test_yellow_light_is_taken_out():
    red, green, blue = white_balance(in_light_of(1.0, 0.9, 0.5), straight_view())
    assert (red, green, blue) == (pytest.approx(0.9, rel=0.03), 1.0, pytest.approx(1.8, rel=0.03))


def test_white_light_is_left_alone():
    assert white_balance(in_light_of(1.0, 1.0, 1.0), straight_view()) == pytest.approx(
        (1.0, 1.0, 1.0), abs=0.01
    )


def test_a_smaller_copy_says_the_same():
    photo = in_light_of(1.0, 0.9, 0.5)
    whole = white_balance(photo, straight_view())
    assert white_balance(photo[::2, ::2], straight_view(), scale=0.5) == pytest.approx(whole, rel=0.02)


def test_a_photo_too_dark_says_nothing():
    assert white_balance(in_light_of(0.004, 0.004, 0.004), straight_view()) is None


def test_an_overexposed_photo_says_nothing():
    assert white_balance(in_light_of(60.0, 60.0, 60.0), straight_view()) is None


def test_two_kinds_of_light_say_nothing():
    photo = in_light_of(1.0, 1.0, 1.0)
    x = int(straight_view().corners_px[:, 0].mean())
    photo[:, x:, 2] = photo[:, x:, 2] // 3
    assert white_balance(photo, straight_view()) is None


def test_a_card_out_of_the_copy_says_nothing():
    assert white_balance(in_light_of(1.0, 1.0, 1.0)[:100], straight_view()) is None
