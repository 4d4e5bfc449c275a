"""Pores counted by hand along marked lines."""

import math

import numpy as np
import pytest

from ledger.measuring.pores import hand_count


def test_pores_per_mm_are_all_taps_over_all_the_length() -> None:
    answer = hand_count([2.0, 3.0], [9, 11])
    assert (answer.per_mm, answer.n, answer.length_mm, answer.lines) == (4.0, 20, 5.0, 2)
    assert answer.along == (4.5, pytest.approx(11 / 3))
    assert "20 pores counted over 5.0 mm on 2 lines" in answer.sentence


def test_one_line_is_as_sure_as_its_two_ends() -> None:
    assert hand_count([5.0], [20]).u_per_mm == pytest.approx(1 / math.sqrt(6) / 5.0)


def test_the_lengths_share_one_scale() -> None:
    sure, unsure = hand_count([5.0, 5.0], [20, 20]), hand_count([5.0, 5.0], [20, 20], u_lengths_mm=[0.1, 0.1])
    assert unsure.u_per_mm**2 == pytest.approx(sure.u_per_mm**2 + (0.02 * 4.0) ** 2)


def test_lines_that_differ_widen_the_uncertainty() -> None:
    alike, unlike = hand_count([3.0] * 4, [12, 12, 12, 12]), hand_count([3.0] * 4, [8, 16, 9, 15])
    assert unlike.u_per_mm > 2 * alike.u_per_mm


def test_the_spread_between_lines_counts_from_three_lines_on() -> None:
    ends = math.sqrt(2 / 6) / 6
    assert hand_count([3.0] * 2, [6, 18]).u_per_mm == pytest.approx(ends)
    # Residuals of 6, 6 and 0 pores on three lines of 3 mm.
    assert hand_count([3.0] * 3, [6, 18, 12]).u_per_mm == pytest.approx(math.sqrt(3 / 2 * 72) / 9)


def test_the_stated_interval_covers_a_row_of_pores_cut_anywhere() -> None:
    rng = np.random.default_rng(5)
    hits = 0
    for _ in range(2000):
        lengths = rng.uniform(1.5, 4.0, 2)
        starts = rng.uniform(0, 1, 2)
        taps = [
            int(math.floor(start + 4.0 * length) - math.floor(start))
            for start, length in zip(starts, lengths, strict=True)
        ]
        answer = hand_count(lengths.tolist(), taps)
        hits += abs(answer.per_mm - 4.0) <= 2 * answer.u_per_mm
    assert hits >= 1860


@pytest.mark.parametrize(
    ("lengths", "taps"),
    [
        ([], []),
        ([1.0], [1, 2]),
        ([0.0], [3]),
        ([-1.0], [3]),
        ([math.nan], [3]),
        ([1.0], [0]),
        ([math.inf], [2]),
    ],
)
def test_lines_that_say_nothing_are_an_error(lengths: list[float], taps: list[int]) -> None:
    with pytest.raises(ValueError, match="line"):
        hand_count(lengths, taps)
