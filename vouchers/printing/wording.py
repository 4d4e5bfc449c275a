"""How a reading stands on a label: short, with its unit, in the order hands do things. Pure.

The phrases are ours. A measure is written low-high with the number measured, as the trade writes it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ledger.traits.units import with_unit
from ledger.words import later, say

# trait -> phrase; {words} is the measure with its unit, or the states joined. Without a phrase of its own: just these.
PHRASES: Mapping[str, str] = {
    "underside": later("underside: {words}"),
    "flexibility": later("{words} when bent"),
    "consistency": later("texture {words}"),
    "pore_surface_colour": later("underside {words}"),
    "margin_colour": later("edge {words}"),
    "cap_surface": later("cap {words}"),
    "zonation": "",
    "cap_colour": later("cap {words}"),
    "habit": "",
    "cap_width": later("cap {words} wide"),
    "cap_length": later("cap {words} long"),
    "cap_thickness": later("cap {words} thick"),
    "pores_per_mm": later("pores {words}"),
    "pore_shape": later("pore shape {words}"),
    "context_colour": later("flesh {words}"),
    "context_thickness": later("flesh {words} thick"),
    "tube_depth": later("tubes {words} deep"),
    "life_span": "",
    "rot": "",
    "koh_reaction": later("KOH: {words}"),
    "spore_print": later("spore print {words}"),
    "spore_length": later("spores {words} long"),
    "spore_width": later("spores {words} wide"),
    # No trait but a box of the form: gather.py makes a reading of it.
    "smell": later("smell: {words}"),
}
# Behind the width of the cap its other sizes need not say again what they are of.
_BEHIND_CAP: Mapping[str, str] = {
    "cap_length": later("{words} long"),
    "cap_thickness": later("{words} thick"),
}
_SPORES = ("spore_length", "spore_width")
# What other lines of the label say already.
ELSEWHERE = frozenset({"host", "substrate_state", "fruiting_months"})
STATES = frozenset({"fresh", "moist", "air-dry", "oven-dry", "weathered"})


@dataclass(frozen=True, slots=True)
class LabelReading:
    """What a label needs of one reading: numbers in `unit`, or the words of its states."""

    trait: str
    values: tuple[float, ...] = ()
    low: float | None = None
    high: float | None = None
    n: int | None = None
    unit: str = ""
    states: tuple[str, ...] = ()
    state: str = ""


class ByState(NamedTuple):
    """Phrases by the state of the specimen; `noted` are those read in no noted state."""

    fresh: tuple[str, ...] = ()
    moist: tuple[str, ...] = ()
    dry: tuple[str, ...] = ()
    noted: tuple[str, ...] = ()


def phrase(reading: LabelReading, wording: Mapping[str, str] = PHRASES) -> str:
    """Return the reading as it stands on a label, or an empty text where it says nothing."""
    if reading.trait in ELSEWHERE:
        return ""
    said = ", ".join(reading.states) if reading.states else measure_text(reading)
    if not said:
        return ""
    pattern = wording.get(reading.trait)
    if pattern is None:  # a trait of a later table
        words = f"{reading.trait.replace('_', ' ')} {said}"
    else:
        words = say(pattern, words=said) if pattern else said
    return words if reading.states else words + _number_measured(reading)


def phrases(readings: Sequence[LabelReading]) -> tuple[str, ...]:
    """Return the phrases of readings made in one state; length and width of the spores become one."""
    by_trait = {reading.trait: reading for reading in readings}
    spores = _spores([by_trait[trait] for trait in _SPORES if trait in by_trait])
    cap_said = False
    made: list[str] = []
    for reading in readings:
        if spores and reading.trait in _SPORES:
            made.append(spores if reading.trait == "spore_length" else "")
            continue
        short = cap_said and reading.trait in _BEHIND_CAP
        made.append(phrase(reading, _BEHIND_CAP if short else PHRASES))
        cap_said = bool(made[-1]) and (short or reading.trait == "cap_width")
    return tuple(filter(None, made))


def _spores(pair: Sequence[LabelReading]) -> str:
    """`spores 6.4–6.6 × 6.2–6.4 µm (n = 30)`; nothing unless both were measured in one unit and equally often."""
    if (
        len(pair) < 2
        or pair[0].unit != pair[1].unit
        or _number_measured(pair[0]) != _number_measured(pair[1])
    ):
        return ""
    length, width = (_spread(reading) for reading in pair)
    if not (length and width):
        return ""
    size = with_unit(f"{length} × {width}", pair[0].unit)
    return say("spores {words}", words=size) + _number_measured(pair[0])


def _number_measured(reading: LabelReading) -> str:
    n = len(reading.values) or reading.n
    return f" (n = {n})" if n and n > 1 else ""


def measure_text(reading: LabelReading) -> str:
    """Return `31–58 mm`, lowest to highest; a single value has no range."""
    spread = _spread(reading)
    return with_unit(spread, reading.unit) if spread else ""


def _spread(reading: LabelReading) -> str:
    low, high = reading.low, reading.high
    if reading.values:
        low, high = min(reading.values), max(reading.values)
    bounds = [number_text(bound) for bound in (low, high) if bound is not None]
    return bounds[0] if len(set(bounds)) == 1 else "–".join(bounds)


def number_text(value: float) -> str:
    return f"{value:.10g}"


def by_state(readings: Sequence[LabelReading]) -> ByState:
    """Part the phrases by the state of the specimen, each state said once."""
    dry = phrases([reading for reading in readings if reading.state in ("air-dry", "oven-dry")])
    return ByState(
        fresh=phrases([reading for reading in readings if reading.state == "fresh"]),
        moist=phrases([reading for reading in readings if reading.state == "moist"]),
        dry=dry
        + _once(later("weathered: {words}"), phrases([one for one in readings if one.state == "weathered"])),
        noted=_once(
            later("state not noted: {words}"), phrases([one for one in readings if one.state not in STATES])
        ),
    )


def _once(pattern: str, said: tuple[str, ...]) -> tuple[str, ...]:
    return (say(pattern, words=said[0]), *said[1:]) if said else ()
