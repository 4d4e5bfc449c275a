"""A specimen from one JSON object, as `manage.py trait_check` and the form hand it over."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from ledger.traits.readings import AGES, SPECIMEN_STATES, Reading, Specimen, SpecimenError, validate
from ledger.traits.units import accepted, factor_to
from ledger.traits.vocabulary import Trait, Vocabulary

__all__ = ["SpecimenError", "parse_line", "parse_specimen"]

_TOP = ("id", "taxon", "state", "age", "readings")
_READING = ("looked", "values", "low", "high", "n", "unit", "resolution", "states", "state", "age")


def parse_line(text: str, vocabulary: Vocabulary) -> Specimen:
    """One line of JSON to a Specimen; every way it can fail is a SpecimenError with the reason."""
    try:
        data = json.loads(text, object_pairs_hook=_no_repeats, parse_constant=_no_constant)
    except SpecimenError:
        raise
    except RecursionError as error:
        raise SpecimenError("is nested too deeply") from error
    except ValueError as error:
        raise SpecimenError(f"is not JSON: {error}") from error
    return parse_specimen(data, vocabulary)


def parse_specimen(data: object, vocabulary: Vocabulary) -> Specimen:
    """A parsed JSON object to a Specimen, numbers converted to each trait's unit. SpecimenError says what is wrong."""
    if not isinstance(data, Mapping):
        raise SpecimenError('a specimen is a JSON object, such as {"taxon": "...", "readings": {}}')
    _only(data, _TOP, "specimen")
    taxon = data.get("taxon")
    if taxon is not None and (not isinstance(taxon, str) or not taxon.strip()):
        raise SpecimenError("taxon must be a name, or be left out")
    readings = data.get("readings", {})
    if not isinstance(readings, Mapping):
        raise SpecimenError("readings must be an object with one entry per trait")
    parsed = {}
    for code, entry in readings.items():
        trait = vocabulary.traits.get(code)
        if trait is None:
            raise SpecimenError(f"unknown trait {code!r}; known are {', '.join(vocabulary.traits)}")
        parsed[code] = _reading(trait, entry)
    return Specimen(
        taxon=" ".join(taxon.split()) if taxon is not None else None,
        readings=parsed,
        state=_word(data, "state", SPECIMEN_STATES, "specimen"),
        age=_word(data, "age", AGES, "specimen"),
        id=data.get("id"),
    )


# Six digits, as in the box of the form; beyond it a number is a slip, and far beyond no float holds it.
MOST_MEASURED = 999_999


def _reading(trait: Trait, entry: object) -> Reading:
    where = f"reading {trait.code}"
    if not isinstance(entry, Mapping):
        raise SpecimenError(f'{where}: must be an object, such as {{"values": [58]}}')
    _only(entry, _READING, where)
    factor = _factor(trait, entry, where)
    values = entry.get("values", [])
    if not isinstance(values, list | tuple) or len(values) > 10_000:
        raise SpecimenError(f"{where}: values must be a list of numbers, 10,000 at most")
    states = entry.get("states", [])
    if not isinstance(states, list | tuple) or not all(isinstance(state, str) for state in states):
        raise SpecimenError(f"{where}: states must be a list of words")
    n = entry.get("n")
    if n is not None and (isinstance(n, bool) or not isinstance(n, int)):
        raise SpecimenError(f"{where}: n must be a whole number")
    if n is not None and n > MOST_MEASURED:
        raise SpecimenError(f"{where}: n is more than {MOST_MEASURED:,}; nobody measured that many")
    reading = Reading(
        trait=trait.code,
        looked=entry.get("looked", "read"),
        values=tuple(_number(where, "value", value, factor) for value in values),
        low=_optional(where, entry, "low", factor),
        high=_optional(where, entry, "high", factor),
        n=n,
        unit=trait.unit,
        resolution=_optional(where, entry, "resolution", factor),
        states=frozenset(states),
        state=_word(entry, "state", SPECIMEN_STATES, where),
        age=_word(entry, "age", AGES, where),
    )
    validate(trait, reading)
    bounded = reading.low is not None or reading.high is not None
    if reading.looked == "read" and not (reading.values or reading.states or bounded):
        what = "states" if trait.kind == "states" else "values, or low and high"
        raise SpecimenError(f"{where}: holds no {what}; if nobody looked, say looked: not looked")
    return reading


def _factor(trait: Trait, entry: Mapping[str, Any], where: str) -> float:
    unit = entry.get("unit")
    if unit is None:
        return 1.0
    if trait.unit is None:
        raise SpecimenError(f"{where}: is chosen from states, it has no unit")
    factor = factor_to(trait.unit, unit) if isinstance(unit, str) else None
    if factor is None:
        raise SpecimenError(
            f"{where}: unit {unit!r} cannot be used, write one of {', '.join(accepted(trait.unit))}"
        )
    return factor


def _optional(where: str, entry: Mapping[str, Any], name: str, factor: float) -> float | None:
    return None if entry.get(name) is None else _number(where, name, entry[name], factor)


def _number(where: str, name: str, value: object, factor: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SpecimenError(f"{where}: {name} {value!r} is not a number")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise SpecimenError(f"{where}: {name} is too large or not a number")
    return number if factor == 1.0 else number * factor


def _word(entry: Mapping[str, Any], name: str, known: tuple[str, ...], where: str) -> str | None:
    word = entry.get(name)
    if word is not None and word not in known:
        raise SpecimenError(f"{where}: {name} {word!r} is none of {', '.join(known)}")
    return word


def _only(entry: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
    for key in entry:
        if key not in known:
            raise SpecimenError(f"{where}: unknown key {key!r}; known are {', '.join(known)}")


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for key, value in pairs:
        if key in made:
            raise SpecimenError(f"{key!r} stands twice in one object; which one holds cannot be told")
        made[key] = value
    return made


def _no_constant(name: str) -> float:
    raise SpecimenError(f"{name} is not a number")
