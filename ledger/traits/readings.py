"""A reading: what was seen or measured of one trait, with resolution and condition, and its uncertainty.

Uncertainty follows the Guide to the expression of uncertainty in measurement (JCGM 100:2008): a display of
resolution d has u = d / sqrt(12) (F.2.2.1); the mean of n readings with spread s has sqrt(s^2/n + d^2/12);
expanded U = 2 u (about 95 %).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.traits.vocabulary import Trait

SPECIMEN_STATES = ("fresh", "moist", "air-dry", "oven-dry", "weathered")
AGES = ("young", "mature", "old", "mixed")
LOOKED = ("read", "not looked", "cannot say", "absent")

COVERAGE_FACTOR = 2.0


class SpecimenError(ValueError):
    """A specimen that cannot be checked as written; the message says which reading and why."""


# Mean range of n draws from a normal distribution, in standard deviations (d2 of the control charts). Values for
# n = 2 to 25; tests integrate them anew. Beyond 25 the last one serves: it makes the spread a little larger.
_RANGE_IN_SD = (
    *(1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078, 3.173, 3.258, 3.336),
    *(3.407, 3.472, 3.532, 3.588, 3.640, 3.689, 3.735, 3.778, 3.819, 3.858, 3.895, 3.931),
)


@dataclass(frozen=True, slots=True)
class Reading:
    """One trait of one find as observed. Numbers and `resolution` are in the trait's unit.

    Either `values` (replicates), or `low` and `high` (and `n` if known), or `states`. `looked` keeps apart: `read`,
    `not looked`, `cannot say` (looked, could not tell) and `absent` (looked, it is not there). `state` and `age`
    are those of this reading where they differ from the specimen's.
    """

    trait: str
    looked: str = "read"
    values: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    n: int | None = None
    unit: str | None = None
    resolution: float | None = None
    states: frozenset[str] = frozenset()
    state: str | None = None
    age: str | None = None


@dataclass(frozen=True, slots=True)
class Specimen:
    """The readings of one find, by trait code, with the name it goes under (or None) and its condition."""

    taxon: str | None
    readings: Mapping[str, Reading]
    state: str | None = None
    age: str | None = None
    id: object = None


@dataclass(frozen=True, slots=True)
class Estimate:
    """The numbers of a reading: smallest, largest and mean, with the expanded uncertainty of one and of the mean."""

    low: float
    high: float
    mean: float
    expanded_single: float
    expanded_mean: float
    n: int | None


def resolution_uncertainty(resolution: float) -> float:
    """Standard uncertainty of a single reading of an instrument with that resolution: d / sqrt(12)."""
    return resolution / math.sqrt(12.0)


def standard_deviation(values: tuple[float, ...]) -> float:
    """Experimental standard deviation with n - 1 (GUM 4.2.2); 0 for a single value, which shows no spread."""
    n = len(values)
    if n < 2:
        return 0.0
    mean = math.fsum(values) / n
    return math.sqrt(math.fsum((x - mean) * (x - mean) for x in values) / (n - 1))


def mean_uncertainty(values: tuple[float, ...], resolution: float) -> float:
    """Standard uncertainty of the mean of replicates: sqrt(s^2/n + d^2/12)."""
    s = standard_deviation(values)
    return math.sqrt(s * s / len(values) + resolution * resolution / 12.0)


def range_mean_uncertainty(low: float, high: float, n: int | None, resolution: float) -> float:
    """Standard uncertainty of the middle of low-high.

    With n the spread is the range over its expectation for n normal draws. Without n the mean may lie anywhere
    between: a rectangle of half-width a has u = a / sqrt(3) (GUM 4.3.7).
    """
    if n is None:
        spread = (high - low) / 2.0 / math.sqrt(3.0)
    elif n < 2:
        spread = 0.0
    else:
        spread = (high - low) / _RANGE_IN_SD[min(n, 25) - 2] / math.sqrt(n)
    return math.sqrt(spread * spread + resolution * resolution / 12.0)


def estimate(reading: Reading, resolution: float) -> Estimate | None:
    """Numbers of a reading with that resolution; None when it holds none (states, or nothing read)."""
    single = COVERAGE_FACTOR * resolution_uncertainty(resolution)
    if reading.values:
        ordered = tuple(sorted(reading.values))  # so that the order of typing cannot change the last digit
        mean = math.fsum(ordered) / len(ordered)
        wide = COVERAGE_FACTOR * mean_uncertainty(ordered, resolution)
        return Estimate(ordered[0], ordered[-1], mean, single, wide, len(ordered))
    if reading.low is None and reading.high is None:
        return None
    low = reading.low if reading.low is not None else reading.high
    high = reading.high if reading.high is not None else reading.low
    assert low is not None and high is not None
    wide = COVERAGE_FACTOR * range_mean_uncertainty(low, high, reading.n, resolution)
    return Estimate(low, high, (low + high) / 2.0, single, wide, reading.n)


def validate(trait: Trait, reading: Reading) -> None:
    """Raise SpecimenError if the reading cannot be one of that trait: wrong kind, state, unit or impossible number."""
    where = f"reading {trait.code}"
    if reading.looked not in LOOKED:
        raise SpecimenError(f"{where}: looked {reading.looked!r} is none of {', '.join(LOOKED)}")
    if reading.state is not None and reading.state not in SPECIMEN_STATES:
        raise SpecimenError(f"{where}: state {reading.state!r} is none of {', '.join(SPECIMEN_STATES)}")
    if reading.age is not None and reading.age not in AGES:
        raise SpecimenError(f"{where}: age {reading.age!r} is none of {', '.join(AGES)}")
    bounded = reading.low is not None or reading.high is not None
    if reading.looked != "read" and (reading.values or bounded or reading.states):
        raise SpecimenError(f"{where}: says {reading.looked!r} and yet gives something that was seen")
    if trait.kind == "states":
        unknown = sorted(reading.states - trait.state_codes)
        if unknown:
            known = ", ".join(state.code for state in trait.states)
            raise SpecimenError(f"{where}: unknown state {unknown[0]!r}; known are {known}")
        if reading.values or bounded:
            raise SpecimenError(f"{where}: is chosen from states, not measured")
        return
    if reading.states:
        raise SpecimenError(f"{where}: is a number in {trait.unit}, it has no states")
    _validate_numbers(trait, reading, where)


def _validate_numbers(trait: Trait, reading: Reading, where: str) -> None:
    if reading.unit not in (None, trait.unit):
        raise SpecimenError(f"{where}: is in {reading.unit!r}, convert it to {trait.unit} first")
    if reading.values and (reading.low is not None or reading.high is not None):
        raise SpecimenError(f"{where}: give either values or low and high, not both")
    for name, number in (("low", reading.low), ("high", reading.high), ("resolution", reading.resolution)):
        _positive(where, name, number)
    for number in reading.values:
        _positive(where, "value", number)
    if reading.low is not None and reading.high is not None and reading.low > reading.high:
        raise SpecimenError(f"{where}: low {reading.low:g} is above high {reading.high:g}")
    if reading.n is not None and (reading.n < 1 or (reading.values and reading.n != len(reading.values))):
        count = f" with {len(reading.values)} values" if reading.values else ""
        raise SpecimenError(f"{where}: n = {reading.n}{count} does not fit")
    if trait.kind == "months":
        given = (*reading.values, *(b for b in (reading.low, reading.high) if b is not None))
        if any(month not in range(1, 13) for month in given):
            raise SpecimenError(f"{where}: a month is a whole number from 1 to 12")


def _positive(where: str, name: str, number: float | None) -> None:
    if number is None:
        return
    if not math.isfinite(number) or number > 1e9:
        raise SpecimenError(f"{where}: {name} {number!r} is not a usable number")
    if number <= 0:
        hint = " (if it is not there at all, say looked: absent)" if name != "resolution" else ""
        raise SpecimenError(f"{where}: {name} {number:g} is not above zero{hint}")
