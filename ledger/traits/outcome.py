"""One reading against what is documented of one taxon: the decision, without words (those are in explain.py).

Decision near a bound as in ISO 14253-1 with guard bands of the expanded uncertainty U: proven within, proven beyond,
or neither. On top of it the band: how far the sources of the reference themselves disagree (see calibration_values).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.traits.calibration_values import TraitCalibration
from ledger.traits.documented import Documented
from ledger.traits.readings import Estimate, Reading, Specimen, SpecimenError, estimate, validate
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Trait

# Bounds are decimal figures and sums of them; this keeps 4.5 - 0.5 from failing against 4 by a last binary digit.
_EPSILON = 1e-9
_SEVERITY = ("within", "cannot tell", "edge", "outside")
_UNCALIBRATED = TraitCalibration()


@dataclass(frozen=True, slots=True)
class Seen:
    """A reading made ready: `points` are the values compared, each with its expanded uncertainty."""

    trait: Trait
    looked: str
    state: str | None
    age: str | None
    points: tuple[tuple[float, float], ...] = ()
    states: frozenset[str] = frozenset()
    months: frozenset[int] = frozenset()
    numbers: Estimate | None = None
    resolution_assumed: bool = False


def see(reference: Reference, specimen: Specimen) -> dict[str, Seen]:
    """All readings made ready, by trait. SpecimenError names a reading that cannot be one of its trait."""
    seen = {}
    for code, reading in specimen.readings.items():
        trait = reference.vocabulary.traits.get(code)
        if trait is None or reading.trait != code:
            raise SpecimenError(
                f"reading {code}: no such trait in the vocabulary, or filed under another's name"
            )
        validate(trait, reading)
        seen[code] = _see(trait, reading, specimen)
    return seen


def _see(trait: Trait, reading: Reading, specimen: Specimen) -> Seen:
    state, age = reading.state or specimen.state, reading.age or specimen.age
    looked = reading.looked
    if looked == "absent" and trait.absent_means is not None:
        return Seen(trait, looked, state, age, states=frozenset((trait.absent_means,)))
    if looked != "read":
        return Seen(trait, looked, state, age)
    if trait.kind == "states":
        return Seen(trait, looked if reading.states else "not looked", state, age, states=reading.states)
    numbers = estimate(reading, reading.resolution or trait.resolution or 0.0)
    if numbers is None:
        return Seen(trait, "not looked", state, age)
    if trait.kind == "months":
        given = reading.values or tuple(b for b in (reading.low, reading.high) if b is not None)
        months = frozenset(int(month) for month in given)
        return Seen(trait, looked, state, age, months=months, numbers=numbers)
    if trait.compared == "mean":
        points: tuple[tuple[float, float], ...] = ((numbers.mean, numbers.expanded_mean),)
    elif numbers.low == numbers.high:
        points = ((numbers.low, numbers.expanded_single),)
    else:
        points = ((numbers.low, numbers.expanded_single), (numbers.high, numbers.expanded_single))
    assumed = reading.resolution is None
    return Seen(trait, looked, state, age, points, numbers=numbers, resolution_assumed=assumed)


def holds_something(seen: Seen) -> bool:
    """Whether there is anything to compare: read, or looked for and absent where that has a meaning of its own."""
    return bool(seen.points or seen.states or seen.months)


def unmet_need(trait: Trait, seen: Mapping[str, Seen]) -> tuple[str, frozenset[str]] | None:
    """The other trait that makes this one not applicable, and what was seen of it; None if it applies.

    What was not looked at, or could not be told, excludes nothing.
    """
    for other, needed in (trait.applies_when or {}).items():
        given = seen.get(other)
        if given is None or given.looked in ("not looked", "cannot say"):
            continue
        if not given.states & needed:
            return other, given.states
    return None


def trait_calibration(reference: Reference, code: str) -> TraitCalibration:
    """The measured figures of a trait; where none were measured there is no band and nothing is decisive."""
    return reference.calibration.traits.get(code, _UNCALIBRATED)


def band95(trait: Trait, measured: TraitCalibration) -> float:
    """Factor (numbers) or months (season) that covers 95 % of the disagreements between sources."""
    return _band(trait, measured.band95)


def band98(trait: Trait, measured: TraitCalibration) -> float:
    """The same for 98 %: what must be exceeded before a taxon is ruled out."""
    return max(_band(trait, measured.band98), _band(trait, measured.band95))


def _band(trait: Trait, band: float | None) -> float:
    if trait.kind == "months":
        return 0.0 if band is None else band
    return 1.0 if band is None else band


def decide(seen: Seen, known: Documented | None, band: float) -> str:
    """The outcome of a reading that holds something, by the rules of the module. Applicability is asked before."""
    if known is None or not known.yes:
        return "cannot tell"
    if seen.points:
        found = decide_numbers(seen.points, known, seen.trait.growth, band)
    elif seen.states:
        found = decide_states(seen.states, known)
    else:
        found = _decide_months(seen.months, known, band)
    if found == "outside" and known.maybe and _excused(seen, known):
        return "cannot tell"
    return found


def decide_states(states: frozenset[str], known: Documented) -> str:
    """`within` if all seen are documented without doubt, `outside` if none is documented, else `edge`."""
    if states <= known.good:
        return "within"
    return "edge" if states & known.allowed else "outside"


def decide_numbers(
    points: tuple[tuple[float, float], ...], known: Documented, growth: bool, band: float
) -> str:
    """The gravest outcome of the points: outside before edge before cannot tell before within."""
    if len(points) == 1:
        return decide_number(*points[0], known, growth, band)
    return max((decide_number(x, u, known, growth, band) for x, u in points), key=_SEVERITY.index)


def decide_number(x: float, expanded: float, known: Documented, growth: bool, band: float) -> str:
    """One value with its expanded uncertainty against the intervals and the outermost bounds."""
    low, high = x - expanded, x + expanded
    slack = _EPSILON * max(abs(x), abs(expanded))
    for bottom, top in known.intervals:
        if bottom <= low + slack and high <= top + slack:
            return "within"
    if known.highest is not None and low > known.highest * band + slack:
        return "outside"
    if known.lowest is not None:
        if growth:
            if high < known.lowest - slack:
                return "cannot tell"  # a young cap is small
        elif high < known.lowest / band - slack:
            return "outside"
    return "edge"


def is_too_coarse(expanded: float, known: Documented) -> bool:
    """Whether the measuring error is wider than the widest documented range: such a reading at the edge proves nothing.

    `expanded` is the expanded uncertainty (k = 2) in the unit of the trait.
    """
    return 2 * expanded > max((top - bottom for bottom, top in known.intervals), default=math.inf)


def month_distance(month: int, months: frozenset[int]) -> int:
    """Months from `month` to the nearest of `months`, the year taken as a circle."""
    return min((min((month - m) % 12, (m - month) % 12) for m in months), default=12)


def _decide_months(months: frozenset[int], known: Documented, band: float) -> str:
    if months <= known.good_months:
        return "within"
    if max(month_distance(month, known.allowed_months) for month in months) <= band:
        return "edge"
    return "outside"


def _excused(seen: Seen, known: Documented) -> bool:
    """Whether a row that may hold (condition not noted, or mixed) would allow what the others do not."""
    if seen.states:
        return bool(seen.states & known.excused)
    if seen.months:
        return True
    for x, expanded in seen.points:
        for row in known.maybe:
            above = row.lowest is None or x + expanded >= row.lowest
            if above and (row.highest is None or x - expanded <= row.highest):
                return True
    return False
