"""Spore statistics: percentiles, means and quotients of raw measurements.

**The percentile formula** is one and has a name: linear interpolation between order statistics, type 7 of Hyndman & Fan
(1996), Sample quantiles in statistical packages, The American Statistician 50(4): 361-365. For n values in order and a
share p it takes the place h = (n - 1) p + 1 and interpolates between the values on either side. It is the usual default of
spreadsheets. Other formulas give other figures for the same spores (of 30 lengths, 5.3 to 5.5 µm for 5 %), so the name
stands beside every figure.

Q is the quotient length by width of each spore; Qm is the mean of these quotients, which is not the quotient of the means
(Tulloss & Lindgren 2005, Mycotaxon 91: 193-194).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ledger.words import later, say, say_n

Pair = tuple[float, float]  # length and width in µm

PERCENTILE_FORMULA = later("linear interpolation, h = (n − 1)p + 1 (Hyndman & Fan 1996, type 7)")
LOW_SHARE, HIGH_SHARE = 0.05, 0.95
# Below this the 5 % ends say no more than the smallest and the largest do (our judgement).
LEAST_FOR_PERCENTILES = 10
# At least 21 spores, better 30 or more; the spread is usually 5 to 10 % of the mean, rarely beyond 3 to 13 %
# (Parmasto 1996, after Parmasto & Parmasto 1987, Bibl. Mycol. 115).
LEAST_WANTED = 21
USUAL_SPREAD_PERCENT = (3.0, 13.0)


class NothingMeasured(ValueError):
    """There is no value to make a figure of."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What one row of values comes to, in their unit. ``sd`` is that of n - 1; None with a single value."""

    n: int
    smallest: float
    low: float  # 5 %
    mean: float
    median: float
    high: float  # 95 %
    largest: float
    sd: float | None
    spread_percent: float | None  # sd as a share of the mean
    error_of_mean: float | None  # sd / sqrt(n)

    @property
    def has_percentiles(self) -> bool:
        return self.n >= LEAST_FOR_PERCENTILES


@dataclass(frozen=True, slots=True)
class Summary:
    """Lengths and widths in µm, quotients without a unit."""

    length: Figures
    width: Figures
    quotient: Figures

    @property
    def n(self) -> int:
        return self.length.n

    @property
    def quotient_of_means(self) -> float:
        """Mean length by mean width; told beside Qm so that the two are not taken for each other."""
        return self.length.mean / self.width.mean


def percentile(values: Sequence[float], share: float) -> float:
    """The value below which `share` (0 to 1) of the values lies, by PERCENTILE_FORMULA.

    >>> percentile([1.0, 2.0, 3.0, 4.0], 0.5)
    2.5
    """
    if not values:
        raise NothingMeasured(say("No value was given."))
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"A share runs from 0 to 1; {share} is none.")
    ordered = sorted(values)
    place = (len(ordered) - 1) * share
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def figures(values: Sequence[float]) -> Figures:
    """All figures of one row of values. Raises NothingMeasured."""
    if not values:
        raise NothingMeasured(say("No value was given."))
    n = len(values)
    mean = math.fsum(values) / n
    sd = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (n - 1)) if n > 1 else None
    return Figures(
        n=n,
        smallest=min(values),
        low=percentile(values, LOW_SHARE),
        mean=mean,
        median=percentile(values, 0.5),
        high=percentile(values, HIGH_SHARE),
        largest=max(values),
        sd=sd,
        spread_percent=None if sd is None else 100.0 * sd / mean,
        error_of_mean=None if sd is None else sd / math.sqrt(n),
    )


def quotients(pairs: Sequence[Pair]) -> list[float]:
    """Length by width of each spore."""
    return [length / width for length, width in pairs]


def summary(pairs: Sequence[Pair]) -> Summary:
    """What spores measured as (length, width) in µm come to. Raises NothingMeasured."""
    return Summary(
        length=figures([length for length, _ in pairs]),
        width=figures([width for _, width in pairs]),
        quotient=figures(quotients(pairs)),
    )


def remarks(pairs: Sequence[Pair]) -> list[str]:
    """What whoever uses the figures should know of them, each a sentence; nothing is changed."""
    found = summary(pairs)
    told: list[str] = []
    if found.n < LEAST_FOR_PERCENTILES:
        told.append(
            say(
                "n = {n}: below {least} spores there are no percentiles, only smallest and largest.",
                n=found.n,
                least=LEAST_FOR_PERCENTILES,
            )
        )
    elif found.n < LEAST_WANTED:
        told.append(
            say(
                "n = {n}: at least {least} spores are wanted, better 30 or more.",
                n=found.n,
                least=LEAST_WANTED,
            )
        )
    wider = sum(width > length for length, width in pairs)
    if wider:
        told.append(
            say_n(
                "{wider} of {of} spores is wider than long (Q below 1): see whether length and width were swapped.",
                "{wider} of {of} spores are wider than long (Q below 1): see whether length and width were swapped.",
                wider,
                wider=wider,
                of=found.n,
            )
        )
    least, most = USUAL_SPREAD_PERCENT
    for name, row in ((say("length"), found.length), (say("width"), found.width)):
        spread = row.spread_percent
        if found.n >= LEAST_FOR_PERCENTILES and spread is not None and not least <= spread <= most:
            told.append(
                say(
                    "The spread of the {name} is {spread} % of its mean; it is rarely beyond {least} to {most} %. See "
                    "whether a figure was mistyped, or spores of two kinds lie together.",
                    name=name,
                    spread=f"{spread:.1f}",
                    least=f"{least:g}",
                    most=f"{most:g}",
                )
            )
    return told
