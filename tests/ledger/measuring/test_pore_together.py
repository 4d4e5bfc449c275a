"""Several counts of one underside as one."""

import math
from dataclasses import dataclass

import pytest

from ledger.measuring.pore_together import Contradiction, _student, in_the_trade
from ledger.measuring.pores import combine


@dataclass(frozen=True)
class Count:
    per_mm: float
    u_per_mm: float = 0.05
    n: int = 100


def test_low_high_mean_and_number_of_several_places() -> None:
    answer = combine([Count(3.6), Count(4.2), Count(4.8)])
    assert (answer.low, answer.high, answer.n, answer.counts) == (3.6, 4.8, 300, 3)
    assert answer.mean == pytest.approx(4.2)
    assert answer.written == "4-5 per mm"
    assert "from 300 pores at 3 places" in answer.sentence


def test_one_count_keeps_its_own_uncertainty() -> None:
    answer = combine([Count(4.2, 0.1)])
    assert (answer.mean, answer.u) == (4.2, pytest.approx(0.1))
    assert answer.written == "4 per mm"


def test_places_that_differ_widen_the_uncertainty() -> None:
    alike, unlike = combine([Count(4.0)] * 5), combine([Count(x) for x in (3.0, 3.5, 4.0, 4.5, 5.0)])
    assert alike.u == pytest.approx(0.05 / math.sqrt(5))
    assert unlike.u == pytest.approx(math.sqrt(0.625 / 5) * 2.776 / 2)


def test_a_scale_that_all_share_does_not_average_out() -> None:
    answer = combine([Count(4.0, 0.04)] * 16, u_scale=0.01)
    assert answer.u == pytest.approx(0.04)


def test_counts_that_differ_by_more_than_places_do_are_not_joined() -> None:
    with pytest.raises(
        Contradiction, match=r"^1.60 and 0.19 per mm differ eightfold, more than places .* every pore"
    ):
        combine([Count(1.601), Count(0.19), Count(1.5)])


def test_what_chance_alone_puts_apart_is_no_contradiction() -> None:
    assert combine([Count(2.5, 0.6), Count(0.5, 1.0)]).counts == 2


def test_places_may_differ_as_much_as_the_books_say() -> None:
    assert combine([Count(1.0), Count(3.9)]).written == "1-4 per mm"


def test_two_counts_of_one_place_that_differ_more_than_twice_are_not_joined() -> None:
    assert combine([Count(1.6), Count(0.7)]).counts == 2
    with pytest.raises(Contradiction, match="more than two counts of one place do"):
        combine([Count(1.6), Count(0.7)], places=[3, 3])


def test_one_place_counted_twice_is_one_value_and_its_pores_are_not_counted_twice() -> None:
    answer = combine([Count(4.0, 0.1, 2800), Count(4.4, 0.3, 4), Count(5.0, 0.1, 100)], places=[0, 0, 2])
    assert (answer.values, answer.counts, answer.n) == ((pytest.approx(4.2), 5.0), 2, 2900)
    alone = combine([Count(4.0, 0.1, 2800), Count(4.4, 0.3, 4)], places=[0, 0])
    assert alone.u == pytest.approx(0.3)


def test_no_count_is_an_error() -> None:
    with pytest.raises(ValueError, match="no count"):
        combine([])


@pytest.mark.parametrize(
    ("values", "written"),
    [
        ([4.0], "4 per mm"),
        ([3.6, 4.4], "4 per mm"),
        ([3.2, 4.8], "3-5 per mm"),
        ([0.3], "1 per mm"),
        ([3.0, *[4.0] * 4, *[5.0] * 4], "(3-)4-5 per mm"),
        ([*[4.0] * 4, *[5.0] * 4, 6.2], "4-5(-6) per mm"),
        ([3.0, *[4.0] * 8, 5.0], "(3-)4(-5) per mm"),
        ([3.0, 3.1, *[4.0] * 7], "3-4 per mm"),
        ([2.5, 3.5], "3-4 per mm"),
    ],
)
def test_it_is_written_as_descriptions_write_it(values: list[float], written: str) -> None:
    assert in_the_trade(values) == written


@pytest.mark.parametrize("freedom", range(2, 40))
def test_student_s_factors_leave_out_one_in_twenty(freedom: int) -> None:
    """Integrates the density of Student's t from -t to t by Simpson's rule."""
    t, steps = _student(freedom), 2000
    scale = math.gamma((freedom + 1) / 2) / (math.sqrt(freedom * math.pi) * math.gamma(freedom / 2))

    def density(x: float) -> float:
        return scale * (1 + x * x / freedom) ** (-(freedom + 1) / 2)

    h = t / steps
    half = (
        h / 3 * sum((1 if k in (0, steps) else 4 if k % 2 else 2) * density(k * h) for k in range(steps + 1))
    )
    assert 2 * half == pytest.approx(0.95, abs=2e-3)


def test_two_counts_are_widened_as_three_are() -> None:
    assert _student(1) == _student(2)
