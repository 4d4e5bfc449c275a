"""The code on a scale card, read where the card has its field for it."""

from dataclasses import replace

import pytest

from ledger.measuring.code_box import flat_code_box
from ledger.measuring.detect import CardView, find_card
from ledger.photos.codes import numbers_in
from tests.ledger.measuring.making import LOOK, picture, setup


@pytest.mark.parametrize("tilt", [0.0, 35.0])
def test_the_code_on_a_numbered_card_is_read(tilt: float) -> None:
    grey = picture(setup(tilt=tilt))
    view = find_card(grey)
    assert isinstance(view, CardView)
    assert numbers_in([flat_code_box(grey, view)]) == ("AT 58",)


def test_a_free_card_has_no_number() -> None:
    grey = picture(setup(), replace(LOOK, numbered=False))
    view = find_card(grey)
    assert isinstance(view, CardView)
    assert numbers_in([flat_code_box(grey, view), grey]) == ()
