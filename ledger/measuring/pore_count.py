"""What a count of pores says, or why there is none; and how uncertain a count is.

**Per mm.** `per_mm` is the square root of the number of pores per square millimetre: as many as stand side by side on a
millimetre, whichever way the line runs. Why this is near what a person counting along lines gets (own derivation; no
published rule for counting was found): pores sit in a more or less triangular net with centres s apart, which makes
2 / (sqrt(3) s^2) to the unit of area. Whoever goes from pore to pore along a row counts 1/s, which is 0.93 of `per_mm`;
30 degrees from the rows it is 1.07; on average over all directions, with 2 / sqrt(3) cos(angle) / s steps, 1.03. Whoever
counts the mouths that a line crosses gets their mean width times the pores per area (Crofton and Cauchy, from memory):
for round mouths sqrt(4 f / pi) of `per_mm`, where f is the share of the surface that is open. On drawn pores that was 0.6
to 1.0 for round mouths and 0.9 to 1.2 for angular ones in thinner walls (report on photographs). The number of pores on an
area lies between all of these, and does not depend on where the edge of a mouth is taken to be.
"""

import math
from dataclasses import dataclass
from typing import Literal

from ledger.words import Said, later, say

DEFINITION = later(
    "Per mm: the square root of the pores per square mm. Counting along a single row gives about 0.93 of it; "
    "counting the mouths that a line crosses gives less where walls are thick."
)

Why = Literal["patch", "few", "magnification", "plain", "oblique", "unclosed", "unlike"]


@dataclass(frozen=True, slots=True)
class PoreCount:
    """`per_mm` pores per mm (as defined above) and its standard uncertainty `u_per_mm` (k = 1).

    `spacing_mm` is 1 / `per_mm`, the side of a square with as much room as one pore. `n` whole pores were counted: those
    whose centre lies in `window` (x, y, width, height in px of the patch), a guard away from the edges. `centres` (x, y)
    in px of the patch, a pixel's own centre being a whole number. `scale_share`, `spread_share` and `method_share` are the
    relative standard uncertainties that make up `u_per_mm`.
    """

    per_mm: float
    u_per_mm: float
    spacing_mm: float
    u_spacing_mm: float
    n: int
    centres: list[tuple[float, float]]
    window: tuple[float, float, float, float]
    px_per_pore: float
    scale_share: float
    spread_share: float
    method_share: float
    sentence: str


@dataclass(frozen=True, slots=True)
class PoresRefused:
    """No count, and why. `px_per_pore` as far as it could be seen, else None; `need_px_per_mm` where a closer photo would
    help and it can be said how close."""

    why: Why
    sentence: str
    px_per_pore: float | None = None
    need_px_per_mm: float | None = None


# Measured on the tuning seeds of the bench (tests/bench/pore_tuning.py), never on those it reports.
_LOST = 0.5  # what the fine look loses against a still finer one, as a share of what the coarse one loses against it
_NOISE = 0.22  # share of joined basins at which mouths split by noise make up for those lost
_SPREAD = 0.45
_METHOD_FLOOR = 0.003
_METHOD_APART = 0.3


def correction(apart: float, joined: float) -> float:
    """What to multiply per mm with: smoothing loses the smallest mouths, and two looks tell how many.

    `apart` is the logarithm of the fine look's pores per mm over the coarse look's, `joined` the share of basins that had
    no wall of their own. An extrapolation to no smoothing; where noise is strong the fine look splits mouths too, and
    nothing is added.
    """
    return math.exp(_LOST * max(0.0, apart) * max(0.0, 1.0 - joined / _NOISE))


def shares(
    spread: float, n: int, apart: float, px_per_mm: float, u_px_per_mm: float
) -> tuple[float, float, float]:
    """Relative standard uncertainties (GUM): of the scale; of counting only `n` pores of unequal room (`spread` is the
    relative standard deviation of their areas; about half of it over the root of n, since per mm goes with the root of
    the area); of the method, from how far a coarse look is from the fine one (`apart`, as for `correction`)."""
    scale = u_px_per_mm / px_per_mm
    counted = _SPREAD * spread / math.sqrt(n)
    method = math.hypot(_METHOD_FLOOR, _METHOD_APART * apart)
    return scale, counted, method


def counted_sentence(per_mm: float, u_per_mm: float, n: int, width_mm: float, height_mm: float) -> Said:
    return say(
        "{per_mm} pores per mm, give or take {u} (k = 2), from {n} whole pores on {width} x {height} mm. {definition}",
        per_mm=f"{per_mm:.2f}",
        u=f"{2 * u_per_mm:.2f}",
        n=n,
        width=f"{width_mm:.1f}",
        height=f"{height_mm:.1f}",
        definition=DEFINITION,
    )
