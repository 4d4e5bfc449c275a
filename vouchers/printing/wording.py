"""How a reading stands on a label: short, with its unit, in the order hands do things. Pure.

The phrases are ours. A measure is written low-high with the number measured, as the trade writes it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    "cap_length": "{} long",
    "cap_thickness": "{} thick",
    "pores_per_mm": "pores {}",
    "pore_shape": "pores {}",
    "context_colour": "flesh {}",
    "context_thickness": "flesh {}",
    "tube_depth": "tubes {}",
    "life_span": "{}",
    "rot": "{}",
    "koh_reaction": "KOH: {}",
    "spore_print": "spore print {}",
    "spore_length": "spores {} long",
    "spore_width": "{} wide",
}
# What other lines of the label say already.
ELSEWHERE = frozenset({"host", "substrate_state", "fruiting_months"})
UNITS = {"mm": "mm", "um": "µm", "1/mm": "per mm"}


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


def phrase(reading: LabelReading) -> str:
    """Return the reading as it stands on a label, or an empty text where it says nothing."""
    if reading.trait in ELSEWHERE:
        return ""
    said = ", ".join(reading.states) if reading.states else measure_text(reading)
    if not said:
        return ""
    words = PHRASES.get(reading.trait, reading.trait.replace("_", " ") + " {}").format(said)
    n = len(reading.values) or reading.n
    return f"{words} (n = {n})" if n and n > 1 and not reading.states else words


def measure_text(reading: LabelReading) -> str:
    """Return `31–58 mm`, lowest to highest; a single value has no range."""
    low, high = reading.low, reading.high
    if reading.values:
        low, high = min(reading.values), max(reading.values)
    bounds = [number_text(bound) for bound in (low, high) if bound is not None]
    if not bounds:
        return ""
    spread = bounds[0] if len(set(bounds)) == 1 else "–".join(bounds)
    return f"{spread} {UNITS.get(reading.unit, reading.unit)}".strip()


def number_text(value: float) -> str:
    return f"{value:.10g}"


def by_condition(readings: Sequence[LabelReading]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Split phrases into those read fresh and those read dry. What was read in no noted state says so."""
    fresh, dry, unsaid = [], [], []
    for reading in readings:
        said = phrase(reading)
        if not said:
            continue
        if reading.state in ("fresh", "moist"):
            fresh.append(said if reading.state == "fresh" else f"{said} (moist)")
        elif reading.state in ("air-dry", "oven-dry", "weathered"):
            dry.append(said if reading.state != "weathered" else f"{said} (weathered)")
        else:
            unsaid.append(said)
    if unsaid:
        fresh.append(f"state not noted: {', '.join(unsaid)}")
    return tuple(fresh), tuple(dry)
