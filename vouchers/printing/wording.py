"""How a reading stands on a label: short, with its unit, in the order hands do things. Pure.

The phrases are ours. A measure is written low-high with the number measured, as the trade writes it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ledger.traits.units import with_unit

# trait -> phrase; {} is the measure with its unit, or the states joined.
PHRASES: Mapping[str, str] = {
    "underside": "underside: {}",
    "flexibility": "{} when bent",
    "consistency": "texture {}",
    "pore_surface_colour": "underside {}",
    "margin_colour": "edge {}",
    "cap_surface": "cap {}",
    "zonation": "{}",
    "cap_colour": "cap {}",
    "habit": "{}",
    "cap_width": "cap {} wide",
    "cap_length": "cap {} long",
    "cap_thickness": "cap {} thick",
    "pores_per_mm": "pores {}",
    "pore_shape": "pore shape {}",
    "context_colour": "flesh {}",
    "context_thickness": "flesh {} thick",
    "tube_depth": "tubes {} deep",
    "life_span": "{}",
    "rot": "{}",
    "koh_reaction": "KOH: {}",
    "spore_print": "spore print {}",
    "spore_length": "spores {} long",
    "spore_width": "spores {} wide",
    # No trait but a box of the form: gather.py makes a reading of it.
    "smell": "smell: {}",
}
# Behind the width of the cap its other sizes need not say again what they are of.
_BEHIND_CAP: Mapping[str, str] = {"cap_length": "{} long", "cap_thickness": "{} thick"}
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
    words = wording.get(reading.trait, reading.trait.replace("_", " ") + " {}").format(said)
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
    return with_unit(f"spores {length} × {width}", pair[0].unit) + _number_measured(pair[0])


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
        dry=dry + _once("weathered: ", phrases([one for one in readings if one.state == "weathered"])),
        noted=_once("state not noted: ", phrases([one for one in readings if one.state not in STATES])),
    )


def _once(word: str, said: tuple[str, ...]) -> tuple[str, ...]:
    return (word + said[0], *said[1:]) if said else ()
