"""The geometry of the plot of length against width, with the documented ranges of the named taxon behind the spores.

Places are in per cent of the frame, y downwards, so that letters keep the reader's size whatever its width; what the plot
shows stands in tables beside it as well.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.spores.statistics import Pair
from ledger.words import say_n, together

_TICKS = 6
_DOT_PX = 4.5


@dataclass(frozen=True, slots=True)
class Bounds:
    """What one source documents of length and width, µm; None where it does not judge that side."""

    source: str
    length_low: float | None = None
    length_high: float | None = None
    width_low: float | None = None
    width_high: float | None = None

    @property
    def is_drawn(self) -> bool:
        """Whether it bounds both, so that it has an outline to draw."""
        return None not in (self.length_low, self.length_high, self.width_low, self.width_high)


@dataclass(frozen=True, slots=True)
class Box:
    """What one source documents; `number` is its place among all that were given, as in the table beside the plot."""

    number: int
    x: float
    y: float
    width: float
    height: float
    source: str


@dataclass(frozen=True, slots=True)
class Dot:
    """One place on the plot; ``count`` spores lie there, and the area of the dot grows with them."""

    x: float
    y: float
    r_px: float
    count: int


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Cross:
    """The means of length and width."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Plot:
    boxes: tuple[Box, ...]
    dots: tuple[Dot, ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    mean: Cross
    sentence: str


def draw(pairs: Sequence[Pair], documented: Sequence[Bounds], *, taxon: str = "") -> Plot:
    """Widths run across, lengths up; every spore and every drawn source lies inside."""
    drawn = [one for one in documented if one.is_drawn]
    lengths = [length for length, _ in pairs]
    widths = [width for _, width in pairs]
    for one in drawn:
        lengths += [one.length_low or 0.0, one.length_high or 0.0]
        widths += [one.width_low or 0.0, one.width_high or 0.0]
    x_ticks, x_low, x_high = _axis(min(widths), max(widths))
    y_ticks, y_low, y_high = _axis(min(lengths), max(lengths))

    def x(value: float) -> float:
        return round(100.0 * (value - x_low) / (x_high - x_low), 3)

    def y(value: float) -> float:
        return round(100.0 - 100.0 * (value - y_low) / (y_high - y_low), 3)

    boxes = tuple(
        Box(
            number,
            x(one.width_low or 0.0),
            y(one.length_high or 0.0),
            round(x(one.width_high or 0.0) - x(one.width_low or 0.0), 2),
            round(y(one.length_low or 0.0) - y(one.length_high or 0.0), 2),
            one.source,
        )
        for number, one in enumerate(documented, start=1)
        if one.is_drawn
    )
    dots = tuple(
        Dot(x(width), y(length), round(_DOT_PX * math.sqrt(count), 2), count)
        for (length, width), count in sorted(Counter(pairs).items())
    )
    mean = Cross(
        x(math.fsum(w for _, w in pairs) / len(pairs)), y(math.fsum(le for le, _ in pairs) / len(pairs))
    )
    return Plot(
        boxes,
        dots,
        tuple(Tick(x(value), f"{value:g}") for value in x_ticks),
        tuple(Tick(y(value), f"{value:g}") for value in y_ticks),
        mean,
        _sentence(pairs, drawn, taxon),
    )


def _axis(low: float, high: float) -> tuple[list[float], float, float]:
    """Ticks at round steps, and the ends of the axis: a little beyond what is shown."""
    room = max((high - low) * 0.08, 0.2)
    low, high = max(0.0, low - room), high + room
    raw = (high - low) / _TICKS
    base = 10.0 ** math.floor(math.log10(raw))
    step = next(base * by for by in (1, 2, 2.5, 5, 10) if base * by >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    ticks = [round(count * step, 6) for count in range(first, math.floor(high / step + 1e-9) + 1)]
    return ticks, low, high


def _sentence(pairs: Sequence[Pair], drawn: Sequence[Bounds], taxon: str) -> str:
    """What the drawing shows, in words."""
    lengths, widths = [length for length, _ in pairs], [width for _, width in pairs]
    told: list[str] = [
        say_n(
            "{n} spore: width {narrow} to {wide} µm across, length {short} to {long} µm up.",
            "{n} spores: width {narrow} to {wide} µm across, length {short} to {long} µm up.",
            len(pairs),
            narrow=f"{min(widths):g}",
            wide=f"{max(widths):g}",
            short=f"{min(lengths):g}",
            long=f"{max(lengths):g}",
        )
    ]
    if drawn and taxon:
        told.append(
            say_n(
                "{inside} of them lie inside what at least one of {n} source documents of {taxon}.",
                "{inside} of them lie inside what at least one of {n} sources documents of {taxon}.",
                len(drawn),
                inside=sum(any(_holds(one, pair) for one in drawn) for pair in pairs),
                taxon=taxon,
            )
        )
    return together(told)


def _holds(one: Bounds, pair: Pair) -> bool:
    length, width = pair
    return (one.length_low or 0.0) <= length <= (one.length_high or 0.0) and (
        one.width_low or 0.0
    ) <= width <= (one.width_high or 0.0)
