"""Several counts of one underside as one: low, high, mean and number, as descriptions write them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

from ledger.words import Said, later, say, say_n, together


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
    """`values`: one per place; `low` and `high` the smallest and largest, `mean` of them, `u` its standard uncertainty; `n`
    pores in all, at `counts` places. All per mm. `written` as the trade writes it: "(3-)4-5 per mm"."""

    values: tuple[float, ...]
    low: float
    high: float
    mean: float
    u: float
    n: int
    counts: int
    written: str
    sentence: str


class Contradiction(ValueError):
    """The counts are no counts of one underside; the sentence names the two that differ most."""


# How many times more pores per mm one place of an underside has than another: 98 of 100 documented ranges of the reference
# (141 of them, fixtures/ranges.csv) have an upper end of at most four times the lower. One place counted twice differs by
# where it was begun and along which direction: twice is a generous bound, our own judgement.
PLACES_DIFFER, ONE_PLACE_DIFFERS = 4.0, 2.0
_K = 2.0  # coverage factor: two counts that chance alone puts apart are no contradiction


def combine(counts: Sequence[Counted], *, u_scale: float = 0.0, places: Sequence[int] = ()) -> Together:
    """`counts` of several patches or directions of one underside, at least one; ValueError for none.

    `places`: a number for each count, alike for those that overlap; none: each is a place of its own. Counts of one place
    are one value, their mean, and the pores of the largest: what was counted twice is not seen twice.

    The mean is the plain one: each patch is a place, and places differ by more than the counts are uncertain. Its
    uncertainty (GUM 4.2.3 and 5.2.2): from the spread of the counts over the root of their number, or from what the counts
    say of themselves, whichever is larger; `u_scale`, the relative uncertainty of a scale that all share (the same card in
    the same photo), does not become smaller with more counts and is added. With few counts the spread is known
    poorly; it is widened by the factor that makes k = 2 cover 95 % (Student's t, over 2). Two counts are widened as three
    are, and cover 85 %: the full factor, 6.4, would say nothing any more.

    Raises Contradiction where two differ by more than places of one underside do, and by more than they are uncertain.
    """
    if not counts:
        raise ValueError("There is no count to put together.")
    kept = list(places) or list(range(len(counts)))
    _refuse_contradiction(counts, kept)
    values, us, n = _by_place(counts, kept)
    many = len(values)
    mean = sum(values) / many
    shared = u_scale * mean
    own = (
        math.sqrt(sum(max(0.0, u**2 - (u_scale * value) ** 2) for value, u in zip(values, us, strict=True)))
        / many
    )
    between = 0.0
    if many > 1:
        variance = sum((value - mean) ** 2 for value in values) / (many - 1)
        between = math.sqrt(variance / many) * _student(many - 1) / 2.0
    u = math.hypot(max(own, between), shared)
    written = in_the_trade(values)
    sentence = say_n(
        "{written}, mean {mean}, give or take {u} (k = 2), from {pores} pores at one place.",
        "{written}, mean {mean}, give or take {u} (k = 2), from {pores} pores at {n} places.",
        many,
        written=written,
        mean=f"{mean:.2f}",
        u=f"{2 * u:.2f}",
        pores=n,
    )
    return Together(tuple(values), min(values), max(values), mean, u, n, many, written, sentence)


def _by_place(counts: Sequence[Counted], places: Sequence[int]) -> tuple[list[float], list[float], int]:
    """Per place its value and standard uncertainty, per mm, and how many pores were seen in all."""
    grouped: dict[int, list[Counted]] = {}
    for count, place in zip(counts, places, strict=True):
        grouped.setdefault(place, []).append(count)
    values = [sum(one.per_mm for one in group) / len(group) for group in grouped.values()]
    us = [max(one.u_per_mm for one in group) for group in grouped.values()]
    return values, us, sum(max(one.n for one in group) for group in grouped.values())


def _refuse_contradiction(counts: Sequence[Counted], places: Sequence[int]) -> None:
    worst, said = 0.0, Said("")
    known = list(zip(counts, places, strict=True))
    for (one, here), (other, there) in combinations(known, 2):
        low, high = sorted((one, other), key=lambda count: count.per_mm)
        times = high.per_mm / low.per_mm if low.per_mm > 0 else math.inf
        is_one_place = here == there
        if times <= (ONE_PLACE_DIFFERS if is_one_place else PLACES_DIFFER) or times <= worst:
            continue
        if high.per_mm - low.per_mm <= _K * math.hypot(low.u_per_mm, high.u_per_mm):
            continue
        worst = times
        values = {"high": f"{high.per_mm:.2f}", "low": f"{low.per_mm:.2f}", "fold": _fold(times)}
        if is_one_place:
            said = say(
                "{high} and {low} per mm differ {fold}, more than two counts of one place do. "
                "Did you tap every pore that the line crosses? Leave out the one that is wrong.",
                **values,
            )
        else:
            said = say(
                "{high} and {low} per mm differ {fold}, more than places of one underside do. "
                "Did you tap every pore that the line crosses? Leave out the one that is wrong.",
                **values,
            )
    if said:
        raise Contradiction(said)


_FOLDS = (
    later("twofold"),
    later("threefold"),
    later("fourfold"),
    later("fivefold"),
    later("sixfold"),
    later("sevenfold"),
    later("eightfold"),
    later("ninefold"),
    later("tenfold"),
)


def _fold(times: float) -> str:
    if times < 1e3:
        whole = max(2, math.floor(times + 0.5))
        return _FOLDS[whole - 2] if whole <= 10 else say("{n}-fold", n=whole)
    return say("more than a thousandfold")


# Student's t for 95 %, 2 to 10 degrees of freedom (from memory; the tests integrate them anew).
_T95 = (4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


def _student(freedom: int) -> float:
    return _T95[max(0, freedom - 2)] if freedom <= len(_T95) + 1 else 1.96 + 2.6 / freedom


def in_the_trade(values: Sequence[float]) -> Said:
    """ "4-5 per mm": whole numbers; with eight counts or more, one that only a single count has stands in brackets at its
    end: "(3-)4-5 per mm"."""
    whole = sorted(max(1, math.floor(value + 0.5)) for value in values)
    low, high, before, after = whole[0], whole[-1], "", ""
    if len(whole) >= 8:
        if whole[0] < whole[1]:
            before, low = f"({whole[0]}-)", whole[1]
        if whole[-1] > whole[-2]:
            after, high = f"(-{whole[-1]})", whole[-2]
    ends = f"{before}{low if low == high else f'{low}-{high}'}{after}"
    return together((ends, later("per mm")))
