"""Scales of wood decay as data (`fixtures/decay_scales.json`): a class means something only with its scale."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any


class DecayScaleError(ValueError):
    """The file of decay scales is broken."""


@dataclass(frozen=True, slots=True)
class DecayClass:
    """One step of a scale. ``criteria`` are the source's own, by name; ``meaning`` says it in plain words."""

    code: str
    label: str
    meaning: str
    criteria: Mapping[str, str]
    least_diameter_cm: float | None
    brackets_expected: bool


@dataclass(frozen=True, slots=True)
class DecayScale:
    """A named scale. ``wood`` are the states of the wood it was made for; ``source`` where it stands."""

    code: str
    label: str
    wood: frozenset[str]
    source: str
    classes: Mapping[str, DecayClass]


def scales_from_json(data: Mapping[str, Any]) -> Mapping[str, DecayScale]:
    """All scales by code, in the file's order."""
    scales: dict[str, DecayScale] = {}
    for row in data["scales"]:
        if not row.get("source"):
            raise DecayScaleError(f"decay scales: {row.get('code')!r} has no source; every scale needs one.")
        classes = {step["code"]: _class(step) for step in row["classes"]}
        if len(classes) != len(row["classes"]):
            raise DecayScaleError(f"decay scales: {row['code']!r} has a class twice; each code stands once.")
        scales[row["code"]] = DecayScale(
            row["code"], row["label"], frozenset(row["wood"]), row["source"], MappingProxyType(classes)
        )
    return MappingProxyType(scales)


def _class(step: Mapping[str, Any]) -> DecayClass:
    return DecayClass(
        code=step["code"],
        label=step["label"],
        meaning=step["meaning"],
        criteria=MappingProxyType(dict(step["criteria"])),
        least_diameter_cm=step.get("least_diameter_cm"),
        brackets_expected=step.get("brackets_expected", True),
    )
