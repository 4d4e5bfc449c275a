"""Several counts of one underside as one: low, high, mean and number, as descriptions write them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol


class Counted(Protocol):
    """A count on one patch or along some lines."""

    @property
    def per_mm(self) -> float: ...

    @property
    def u_per_mm(self) -> float: ...

    @property
    def n(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Together:
    """`low` and `high`: smallest and largest of the `counts` counts; `mean` of them, `u` its standard uncertainty; `n` pores
    in all. All per mm. `written` as the trade writes it: "(3-)4-5 per mm"."""

    low: float
    high: float
    mean: float
    u: float
    n: int
    counts: int
    written: str
    sentence: str


def combine(counts: Sequence[Counted], *, u_scale: float = 0.0) -> Together:
    """`counts` of several patches or directions of one underside, at least one; ValueError for none.

    The mean is the plain one: each patch is a place, and places differ by more than the counts are uncertain. Its
    uncertainty (GUM 4.2.3 and 5.2.2): from the spread of the counts over the root of their number, or from what the counts
    say of themselves, whichever is larger; `u_scale`, the relative uncertainty of a scale that all share (the same card in
    the same photo), does not become smaller with more counts and is added. With few counts the spread is known
    poorly; it is widened by the factor that makes k = 2 cover 95 % (Student's t, over 2). Two counts are widened as three
    are, and cover 85 %: the full factor, 6.4, would say nothing any more.
    """
    if not counts:
        raise ValueError("There is no count to put together.")
    values = [count.per_mm for count in counts]
    many = len(values)
    mean = sum(values) / many
    shared = u_scale * mean
    own = (
        math.sqrt(sum(max(0.0, count.u_per_mm**2 - (u_scale * count.per_mm) ** 2) for count in counts)) / many
    )
    between = 0.0
    if many > 1:
        variance = sum((value - mean) ** 2 for value in values) / (many - 1)
        between = math.sqrt(variance / many) * _student(many - 1) / 2.0
    u = math.hypot(max(own, between), shared)
    n = sum(count.n for count in counts)
    written = in_the_trade(values)
    places = "one place" if many == 1 else f"{many} places"
    sentence = f"{written}, mean {mean:.2f}, give or take {2 * u:.2f} (k = 2), from {n} pores at {places}."
    return Together(min(values), max(values), mean, u, n, many, written, sentence)


# Student's t for 95 %, 2 to 10 degrees of freedom (from memory; the tests integrate them anew).
_T95 = (4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


def _student(freedom: int) -> float:
    return _T95[max(0, freedom - 2)] if freedom <= len(_T95) + 1 else 1.96 + 2.6 / freedom


def in_the_trade(values: Sequence[float]) -> str:
    """ "4-5 per mm": whole numbers; with eight counts or more, one that only a single count has stands in brackets at its
    end: "(3-)4-5 per mm"."""
    whole = sorted(max(1, math.floor(value + 0.5)) for value in values)
    low, high, before, after = whole[0], whole[-1], "", ""
    if len(whole) >= 8:
        if whole[0] < whole[1]:
            before, low = f"({whole[0]}-)", whole[1]
        if whole[-1] > whole[-2]:
            after, high = f"(-{whole[-1]})", whole[-2]
    return f"{before}{low if low == high else f'{low}-{high}'}{after} per mm"
