"""What is taken on at its bounds: how well a height above the card is known, and how few taps are a count."""

import io
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from threading import Barrier
from types import SimpleNamespace
from typing import Any

import pytest
from PIL import Image

from ledger.measures import taking
from ledger.measures.models import Measurement
from ledger.measures.taking import CannotMeasure, take
from ledger.measuring.lengths import POINTING_PX, measure
from ledger.measuring.pores import PoresRefused
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


def test_pores_are_counted_on_one_photo_at_a_time(scale: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Or the threads of a worker would hold several large patches at once."""
    inside, together, start = [], [], Barrier(4)

    def count(*_: Any, **__: Any) -> PoresRefused:
        inside.append(1)
        time.sleep(0.05)
        together.append(len(inside))
        inside.pop()
        return PoresRefused("no pores", "Cannot tell.")

    monkeypatch.setattr(taking, "count_pores", count)
    picture = io.BytesIO()
    Image.new("RGB", (800, 800), "tan").save(picture, "JPEG")
    opened = nullcontext(SimpleNamespace(read=picture.getvalue))
    photo = SimpleNamespace(
        width=800, height=800, orientation=1, original=SimpleNamespace(open=lambda: opened)
    )

    def counted(_: int) -> None:
        start.wait(10)
        with pytest.raises(CannotMeasure, match="Cannot tell"):
            take(photo, scale, Measurement.Way.COUNT, [(100, 100), (300, 300)])

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(counted, range(4)))
    assert together == [1] * 4
