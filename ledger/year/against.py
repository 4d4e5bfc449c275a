"""The club's own values of one trait against what the sources document: figures, a proposed range, a drawing. Pure.

Places are in per cent of the frame, so that letters keep the reader's size whatever its width. Percentiles are those of
`ledger.spores.statistics`, whose formula stands beside them on the page.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.spores.statistics import Figures, figures

_TICKS = 6
_BINS = 40


@dataclass(frozen=True, slots=True)
class Bounds:
    """`(low_extreme–)low–high(–high_extreme)`; None where that side is not given."""

    low_extreme: float | None
    low: float | None
    high: float | None
    high_extreme: float | None


@dataclass(frozen=True, slots=True)
class Strip:
    """Where bounds lie: the usual range and, thinner, its extremes. Open: the source says nothing of that side."""

    x: float
    width: float
    rare_x: float
    rare_width: float
    open_low: bool = False
    open_high: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    x: float
    width: float
    y: float
    height: float
    n: int


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Against:
    """`columns`: the values as they lie; `own`: 5 % to 95 % with the extremes; `strips`: one of each source, in order."""

    found: Figures
    columns: tuple[Column, ...]
    own: Strip
    strips: tuple[Strip, ...]
    ticks: tuple[Tick, ...]


def proposed(found: Figures, decimals: int) -> Bounds | None:
    """The range that would be documented of them; None where they are too few for percentiles.

    >>> proposed(figures([float(one) for one in range(1, 22)]), 0)
    Bounds(low_extreme=1.0, low=2.0, high=20.0, high_extreme=21.0)
    """
    if not found.has_percentiles:
        return None
    smallest, low, high, largest = (
        round(one, decimals) for one in (found.smallest, found.low, found.high, found.largest)
    )
    return Bounds(smallest if smallest < low else None, low, high, largest if largest > high else None)


def draw(values: Sequence[float], books: Sequence[Bounds]) -> Against:
    """Every value and every bound lies inside."""
    found = figures(values)
    ends = [found.smallest, found.largest]
    for one in books:
        ends += [end for end in (one.low_extreme, one.low, one.high, one.high_extreme) if end is not None]
    ticks, low, high = _axis(min(ends), max(ends))

    def x(value: float) -> float:
        return round(100.0 * (value - low) / (high - low), 3)

    def strip(one: Bounds) -> Strip:
        usual_low = x(one.low) if one.low is not None else 0.0
        usual_high = x(one.high) if one.high is not None else 100.0
        rare_low = x(one.low_extreme) if one.low_extreme is not None else usual_low
        rare_high = x(one.high_extreme) if one.high_extreme is not None else usual_high
        return Strip(
            usual_low,
            round(usual_high - usual_low, 3),
            rare_low,
            round(rare_high - rare_low, 3),
            open_low=one.low is None and one.low_extreme is None,
            open_high=one.high is None and one.high_extreme is None,
        )

    own = Bounds(found.smallest, found.low, found.high, found.largest)
    return Against(
        found,
        _columns(values, low, high),
        strip(own if found.has_percentiles else Bounds(None, found.smallest, found.largest, None)),
        tuple(strip(one) for one in books),
        tuple(Tick(x(value), f"{value:g}") for value in ticks),
    )


def _columns(values: Sequence[float], low: float, high: float) -> tuple[Column, ...]:
    bins = Counter(min(int((value - low) / (high - low) * _BINS), _BINS - 1) for value in values)
    most = max(bins.values())
    wide = 100.0 / _BINS
    return tuple(
        Column(round(at * wide, 3), wide, round(100 - 100 * n / most, 3), round(100 * n / most, 3), n)
        for at, n in sorted(bins.items())
    )


def _axis(low: float, high: float) -> tuple[list[float], float, float]:
    """Ticks at round steps, and the ends of the axis: a little beyond what is shown."""
    room = max((high - low) * 0.06, 0.1)
    low, high = max(0.0, low - room), high + room
    raw = (high - low) / _TICKS
    base = 10.0 ** math.floor(math.log10(raw))
    step = next(base * by for by in (1, 2, 2.5, 5, 10) if base * by >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [round(at * step, 6) for at in range(first, math.floor(high / step + 1e-9) + 1)], low, high
