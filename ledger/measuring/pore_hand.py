"""Pores counted by hand along marked lines."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.words import say_n


@dataclass(frozen=True, slots=True)
class HandCount:
    """`per_mm` with its standard uncertainty (k = 1); `n` pores over `length_mm` mm of `lines` lines. `along` per line."""

    per_mm: float
    u_per_mm: float
    n: int
    length_mm: float
    lines: int
    along: tuple[float, ...]
    sentence: str


_END = 1.0 / math.sqrt(
    6.0
)  # pores: both ends of a line fall anywhere in a pore, each with 1/sqrt(12) (GUM 4.3.7)


def hand_count(
    lengths_mm: Sequence[float], taps: Sequence[int], *, u_lengths_mm: Sequence[float] = ()
) -> HandCount:
    """Pores tapped along each line, with the line's length in mm and its standard uncertainty.

    A pore belongs to a line that runs through its mouth. ValueError: no line, a line without length or without a tap, or
    lists of unlike length.

    Uncertainty (GUM): each line's two ends cut a pore at any place, 1/sqrt(6) of a pore a line; with three lines or more
    the spread between the lines where that is larger; the lengths, taken to share one scale, so that their errors add up.
    """
    u_lengths = list(u_lengths_mm) or [0.0] * len(lengths_mm)
    if not lengths_mm or not len(lengths_mm) == len(taps) == len(u_lengths):
        raise ValueError("Each line needs a length, an uncertainty of it and its number of taps.")
    if not all(math.isfinite(length) and length > 0 for length in lengths_mm):
        raise ValueError("A line's length in mm is above 0.")
    if not all(math.isfinite(u) and u >= 0 for u in u_lengths) or any(tap < 1 for tap in taps):
        raise ValueError("Each line has at least one tap, and an uncertainty of 0 or more.")
    length, n, lines = sum(lengths_mm), sum(taps), len(taps)
    per_mm = n / length
    ends = _END * math.sqrt(lines) / length
    between = 0.0
    if lines >= 3:
        left = [tap - per_mm * mm for tap, mm in zip(taps, lengths_mm, strict=True)]
        between = math.sqrt(lines / (lines - 1) * sum(x * x for x in left)) / length
    u = math.hypot(max(ends, between), per_mm * sum(u_lengths) / length)
    along = tuple(tap / mm for tap, mm in zip(taps, lengths_mm, strict=True))
    sentence = say_n(
        "{per_mm} pores per mm, give or take {u} (k = 2): {pores} pores counted over {mm} mm on one line.",
        "{per_mm} pores per mm, give or take {u} (k = 2): {pores} pores counted over {mm} mm on {n} lines.",
        lines,
        per_mm=f"{per_mm:.2f}",
        u=f"{2 * u:.2f}",
        pores=n,
        mm=f"{length:.1f}",
    )
    return HandCount(per_mm, u, n, length, lines, along, sentence)
