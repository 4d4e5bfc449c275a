"""Measures the constants of `ledger/measuring/pore_count.py` on the tuning seeds, and prints what they should be.

    python -m tests.bench.pore_tuning

The shares of the spread and of the two looks are those that make errors (exact scale) most likely under a normal
distribution of the stated width; the printed coverage says how well that does. Nothing is written: constants are typed in
by whoever has looked at the figures.
"""

import itertools
import math
import sys

import cv2
import numpy as np

from ledger.measuring import pore_count, pores
from tests.bench.pore_images import PORES
from tests.bench.pore_trials import TUNING, drawn, tried


def main(many: int) -> None:
    cv2.setNumThreads(1)
    seen: list[tuple[float, int, float, float]] = []
    _watch(seen)
    kinds, errors, looks = [], [], []
    for kind in PORES:
        for one in drawn([kind], many, TUNING, pores.LEAST_PX_PER_PORE, 40.0):
            seen.clear()
            (trial,) = tried([one])
            if trial.counted:
                spread, n, apart, joined = seen[-1]
                kinds.append(kind)
                errors.append(math.log1p(trial.own_error) - math.log(pore_count.correction(apart, joined)))
                looks.append((spread / math.sqrt(n), apart, joined))
    kind, error = np.array(kinds), np.array(errors)
    spread, apart, joined = np.array(looks).T
    print("error without correction by share of joined basins: n, error, apart")  # noqa: T201
    for low, high in itertools.pairwise((0, 0.1, 0.15, 0.2, 0.25, 0.5)):
        for name in PORES:
            at = (joined >= low) & (joined < high) & (kind == name)
            if at.sum() > 3:
                print(f"  {low:.2f} {name:8} {at.sum():4d} {error[at].mean():+.4f} {apart[at].mean():.4f}")  # noqa: T201
    found = []
    for lost, noise in itertools.product((0.0, 0.3, 0.4, 0.5, 0.6, 0.7), (0.18, 0.22, 0.26)):
        left = error + lost * np.maximum(apart, 0) * np.maximum(0, 1 - joined / noise)
        for a, floor, c in itertools.product(
            (0.4, 0.45, 0.5, 0.55), (0.002, 0.003, 0.004), (0.2, 0.3, 0.4, 0.5)
        ):
            variance = (a * spread) ** 2 + floor**2 + (c * apart) ** 2
            likely = -0.5 * float(np.sum(left**2 / variance + np.log(variance)))
            within = np.abs(left) <= 2 * np.sqrt(variance)
            found.append(
                (likely, lost, noise, a, floor, c, within.mean(), [within[kind == k].mean() for k in PORES])
            )
    found.sort(key=lambda row: -row[0])
    print("likelihood; lost, noise, spread, floor, apart; covered, by kind")  # noqa: T201
    for row in found[:10]:
        print("  {:.1f}; {} {} {} {} {}; {:.3f}".format(*row[:7]), " ".join(f"{x:.3f}" for x in row[7]))  # noqa: T201


def _watch(seen: list[tuple[float, int, float, float]]) -> None:
    """Notes what goes into the correction and the shares of each count."""
    correction, shares = pores.correction, pores.shares
    last = [0.0]

    def noted_correction(apart: float, joined: float) -> float:
        last[0] = joined
        return correction(apart, joined)

    def noted_shares(
        spread: float, n: int, apart: float, scale: float, u: float
    ) -> tuple[float, float, float]:
        seen.append((spread, n, apart, last[0]))
        return shares(spread, n, apart, scale, u)

    pores.correction, pores.shares = noted_correction, noted_shares


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
