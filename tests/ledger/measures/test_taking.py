"""What is taken on at its bounds: how well a height above the card is known, and how few taps are a count."""

from types import SimpleNamespace
from typing import Any

import pytest

from ledger.measures.models import Measurement
from ledger.measures.taking import CannotMeasure, take
from ledger.measuring.lengths import POINTING_PX, measure
from ledger.measuring.scale_json import as_json, from_json
from tests.ledger.measuring.making import straight_view

LINE = [(400.0, 700.0), (1000.0, 700.0)]


@pytest.fixture
def scale() -> Any:
    return SimpleNamespace(view=as_json(straight_view()))


@pytest.mark.parametrize(("above_mm", "known_to_mm"), [(9.0, 3.0), (-9.0, 3.0), (0.9, 0.5)])
def test_a_height_above_the_card_is_known_to_a_third_and_never_better_than_half_a_millimetre(
    above_mm: float, known_to_mm: float, scale: Any
) -> None:
    taken = take(None, scale, Measurement.Way.LINE, LINE, above_mm=above_mm)
    view = from_json(scale.view)
    told = measure(view, *LINE, pointing_px=POINTING_PX, above_mm=above_mm, u_above_mm=known_to_mm)
    assert taken.u == told.u_mm


def test_two_taps_are_a_count_and_one_is_none(scale: Any) -> None:
    tap = (500.0, 700.0)
    assert take(None, scale, Measurement.Way.TAPS, [*LINE, tap, tap]).n == 2
    with pytest.raises(CannotMeasure, match="Only 1 pores are tapped"):
        take(None, scale, Measurement.Way.TAPS, [*LINE, tap])
