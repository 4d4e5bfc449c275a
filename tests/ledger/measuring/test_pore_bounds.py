"""Where the bounds of a count of pores lie: just within one it is accepted, just beyond it is refused."""

import math
from dataclasses import replace

import numpy as np
import pytest

from ledger.measuring.pore_count import correction, shares
from ledger.measuring.pore_evidence import Evidence, against

# Round pores, closed, alike in both looks, with deep walls.
GOOD = Evidence(
    n=40,
    pitch=14.0,
    spread=0.2,
    small=0.8,
    aspect=1.1,
    aspect_90=1.3,
    leaning=0.1,
    open=0.0,
    joined=0.0,
    strange=0.0,
    contrast=0.2,
    whole=np.ones(40, dtype=bool),
)


def test_whole_round_pores_have_nothing_against_them() -> None:
    assert against(GOOD, 0.0) == ""


@pytest.mark.parametrize(
    ("figure", "within", "beyond", "why"),
    [
        ("contrast", 0.021, 0.019, "plain"),
        ("strange", 0.199, 0.201, "unlike"),
        ("open", 0.034, 0.036, "unclosed"),
        ("joined", 0.49, 0.51, "unclosed"),
        ("aspect", 1.37, 1.39, "unclosed"),
        ("aspect_90", 1.57, 1.59, "unclosed"),
    ],
)
def test_a_figure_counts_against_them_beyond_its_bound(
    figure: str, within: float, beyond: float, why: str
) -> None:
    assert against(replace(GOOD, **{figure: within}), 0.0) == ""
    assert against(replace(GOOD, **{figure: beyond}), 0.0) == why


@pytest.mark.parametrize("way", [1, -1])
def test_two_looks_that_are_a_tenth_apart_are_of_no_pores(way: int) -> None:
    assert against(GOOD, way * 0.089) == ""
    assert against(GOOD, way * 0.091) == "unlike"


def test_long_mouths_that_lean_one_way_are_seen_aslant() -> None:
    assert against(replace(GOOD, aspect=1.5, leaning=0.61), 0.0) == "oblique"


def test_what_the_fine_look_loses_is_half_of_what_the_coarse_one_does() -> None:
    assert correction(0.08, 0.0) == pytest.approx(math.exp(0.04))
    assert correction(-0.08, 0.0) == 1.0
    assert correction(0.08, 0.11) == pytest.approx(math.exp(0.02))
    assert correction(0.08, 0.22) == 1.0


def test_the_uncertainty_of_a_count_has_its_three_parts() -> None:
    scale, counted, method = shares(0.2, 36, 0.0, px_per_mm=20.0, u_px_per_mm=0.1)
    assert (scale, counted, method) == (
        pytest.approx(0.005),
        pytest.approx(0.45 * 0.2 / 6),
        pytest.approx(0.003),
    )
    assert shares(0.2, 36, 0.04, 20.0, 0.1)[2] == pytest.approx(math.hypot(0.003, 0.012))
