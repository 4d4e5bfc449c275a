"""Specimens and references drawn at random for the test that both sides of the check say the same.

Hypothesis draws the source of chance; specimens come from it many at a time, since its own way of drawing each part
repeats itself too often to be worth the time. What differs is made small by `smallest`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Sequence
from random import Random
from typing import Any

from ledger.traits.documented import row_months
from ledger.traits.outcome import band95, band98, trait_calibration
from ledger.traits.ranges import CONDITIONS, DocumentedRange, Source
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.traits.reference import Reference
from ledger.traits.units import accepted, factor_to
from ledger.traits.vocabulary import Trait

_LOOKED = ("not looked", "cannot say", "absent")
# Relative distance from a documented bound: on it, a hair to either side (the slack of the check is 1e-9), and off it.
_HAIRS = (0.0, 1e-9, -1e-9, 1.01e-9, -1.01e-9, 3e-9, -3e-9, 1e-15, -1e-15, 0.004, -0.004, 0.07, -0.07)
_SLIPS = (1.0, 1.0, 1.0, 1.0, 10.0, 0.1, 25.4, 1 / 25.4, 3.7)
_RESOLUTIONS = (None, 1.0, 0.1, 0.02, 4.0)
_STRANGERS = ("Nemo nusquam", "Trametes", "Fungus ignotus var. nullus", "Boletus edulis")


class Drawing:
    """Draws specimens of one reference as the JSON that a form or a command hands over."""

    def __init__(self, reference: Reference) -> None:
        self.reference = reference
        self.traits = tuple(reference.vocabulary.traits.values())
        self.taxa, self.synonyms = tuple(reference.taxa), tuple(sorted(reference.synonyms))
        self.bounds = {trait.code: _bounds(_rows_of(reference, trait)) for trait in self.traits}
        self.factors = {trait.code: _factors(reference, trait) for trait in self.traits}

    def specimen(self, random: Random) -> dict[str, Any]:
        """Readings of anything, or such as a find of one taxon would give, most of them."""
        like = random.choice((None, *random.choices(self.taxa, k=2)))
        entered = random.choice((0.05, 0.15, 0.25, 0.5, 1.0))
        data: dict[str, Any] = {
            "readings": {
                trait.code: self._reading(trait, like if random.random() < 0.95 else None, random)
                for trait in self.traits
                if random.random() < entered
            }
        }
        if like is not None and random.random() < 0.8:
            data["taxon"] = like
        elif random.random() < 0.9:
            data["taxon"] = random.choice(random.choice((self.taxa, self.taxa, self.synonyms, _STRANGERS)))
        return data | _condition(random, said=0.8)

    def _reading(self, trait: Trait, like: str | None, random: Random) -> dict[str, Any]:
        own = _condition(random, said=0.1)
        rows = self.reference.ranges_for(like, trait.code) if like is not None else ()
        if random.random() < (0.05 if rows else 0.15):
            return {"looked": random.choice(_LOOKED)} | own
        if trait.kind == "states":
            codes = sorted({state for row in rows for state in row.states}) or sorted(trait.state_codes)
            return {"states": random.choices(codes, k=random.choice((1, 1, 1, 2, 2, 3, 4)))} | own
        if trait.kind == "months":
            known = sorted({month for row in rows for month in row_months(row)}) or range(1, 13)
            months = random.choices(known, k=random.choice((1, 1, 1, 2, 3, 8)))
            if random.random() < 0.25:
                return {"low": min(months), "high": max(months)} | own
            return {"values": months} | own
        return self._number(trait, rows, random) | own

    def _number(self, trait: Trait, rows: Sequence[DocumentedRange], random: Random) -> dict[str, Any]:
        resolution = random.choice(_RESOLUTIONS)
        expanded = 2.0 * (resolution or trait.resolution or 0.0) / 12.0**0.5
        value = random.choice(_bounds(rows) if rows else self.bounds[trait.code])
        if random.random() < 0.5:
            value *= random.choice(self.factors[trait.code])
            value *= random.choice(_SLIPS)
        value = (value + random.choice((0.0, 1.0, -1.0)) * expanded) * (1.0 + random.choice(_HAIRS))
        value = abs(value) or 1.0
        unit = random.choice((None, None, *accepted(trait.unit or "")))
        per = factor_to(trait.unit or "", unit) or 1.0
        data = _as_written(value / per, random)
        if resolution is not None:
            data["resolution"] = resolution / per
        return data if unit is None else data | {"unit": unit}


def smallest(specimen: dict[str, Any], differs: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """The same specimen without whatever it differs without: a reading, a name, a condition."""
    for code in list(specimen["readings"]):
        fewer = {key: entry for key, entry in specimen["readings"].items() if key != code}
        if differs(specimen | {"readings": fewer}):
            specimen = specimen | {"readings": fewer}
    for name in ("taxon", "state", "age"):
        without = {key: value for key, value in specimen.items() if key != name}
        if name in specimen and differs(without):
            specimen = without
    return specimen


def _as_written(value: float, random: Random) -> dict[str, Any]:
    spread = random.choice((0.0, 0.01, 0.2, 0.6))
    form = random.randrange(8)
    if form < 3:
        return {"values": [value]}
    if form < 5:
        many = random.choice((2, 3, 5))
        return {"values": [value * (1.0 + spread * random.uniform(-1.0, 1.0)) for _ in range(many)]}
    if form == 5:
        return {random.choice(("low", "high")): value}
    bounds = {"low": value * (1.0 - spread), "high": value * (1.0 + spread)}
    return bounds if form == 6 else bounds | {"n": random.choice((1, 2, 5, 24, 25, 30, 400))}


def with_house_rules(reference: Reference, random: Random, many: int) -> Reference:
    """The same reference with as many ranges of the club's own, for every kind of trait; most of them binding."""
    practice = Source("club:practice", "Our own practice, in a few words", kind="common practice")
    named = Source("club:table", "Table of the club, 2019 (kept in the cupboard)", kind="club")
    rows = tuple(_club_row(reference, random, (practice, named)) for _ in range(many))
    return Reference.build(
        reference.vocabulary,
        reference.taxa.values(),
        (*reference.sources.values(), practice, named),
        (
            *reference.ranges,
            *{(row.taxon, row.trait, row.source_id, row.condition): row for row in rows}.values(),
        ),
        reference.calibration,
    )


def _club_row(reference: Reference, random: Random, sources: Sequence[Source]) -> DocumentedRange:
    trait = random.choice(list(reference.vocabulary.traits.values()))
    blank = DocumentedRange(
        taxon=random.choice(list(reference.taxa)),
        trait=trait.code,
        unit=random.choice([trait.unit, None]),
        condition=random.choice(CONDITIONS),
        source_id=random.choice(sources).id,
        note=random.choice(["", "seen twice", "„measured“ – dry"]),
        doubtful=random.random() < 0.2,
        binding=random.random() < 0.7,
    )
    if trait.kind == "states":
        codes = sorted(trait.state_codes)
        return dataclasses.replace(blank, states=frozenset(random.sample(codes, random.randint(1, 2))))
    if trait.kind == "months":
        return dataclasses.replace(blank, low=float(random.randint(1, 12)), high=float(random.randint(1, 12)))
    base = random.choice(_bounds(_rows_of(reference, trait)))
    four = sorted(round(base * random.uniform(0.6, 1.6), 2) for _ in range(4))
    kept = random.choice([(1, 2), (1, 2), (0, 1, 2, 3), (2,), (1,), (0, 3), (1, 2, 3), (3,)])
    low_extreme, low, high, high_extreme = (four[i] if i in kept else None for i in range(4))
    return dataclasses.replace(blank, low_extreme=low_extreme, low=low, high=high, high_extreme=high_extreme)


def _condition(random: Random, said: float) -> dict[str, str]:
    """State and age of a specimen or reading, each with the chance `said`."""
    data = {}
    if random.random() < said:
        data["state"] = random.choice(SPECIMEN_STATES)
    if random.random() < said:
        data["age"] = random.choice(AGES)
    return data


def _bounds(rows: Iterable[DocumentedRange]) -> tuple[float, ...]:
    """Every bound the rows give, and the middle of each range that has two."""
    found = set()
    for row in rows:
        found |= {b for b in (row.low_extreme, row.low, row.high, row.high_extreme) if b}
        if row.lowest and row.highest:
            found.add((row.lowest + row.highest) / 2.0)
    return tuple(sorted(found)) or (1.0,)


def _rows_of(reference: Reference, trait: Trait) -> list[DocumentedRange]:
    return [row for row in reference.ranges if row.trait == trait.code]


def _factors(reference: Reference, trait: Trait) -> tuple[float, ...]:
    measured = trait_calibration(reference, trait.code)
    narrow, wide = band95(trait, measured) or 1.0, band98(trait, measured) or 1.0
    return 1.0, narrow, 1.0 / narrow, wide, 1.0 / wide
