"""Weight of evidence: how far a reading speaks for each taxon, in decibans, against the background of all taxa.

Good's weight of evidence (I. J. Good, Probability and the Weighing of Evidence, 1950) is the logarithm of the likelihood
ratio; a deciban is ten times the decimal logarithm. Every number is learned from the reference (learning.py,
calibration.py); here it becomes tables once (`compile_tables`), to be added up for each specimen (`weigh`).

The phone holds the same tables and does the same sums (static/js/rules/evidence.js). So tables are rounded when they are
compiled, sums are exact before their one rounding, and totals are rounded far above the last digit of a logarithm, which
is the one thing two machines need not share: an order of taxa never hangs on it.

States: how likely a description of the taxon names each state, by the sources that describe it, drawn toward what
sources name instead of those states (interchange) and toward genus and family, the more the fewer the sources.
Numbers: the documented range on a log scale, blurred by the spread between sources, with heavy tails.
Months: the share of the taxon's season that the month seen has.
Rows of all conditions are pooled: what is documented for the old specimen only still excuses the reading.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.calibration_values import Calibration
from ledger.traits.evidence_tables import (
    NumberTable,
    StateTable,
    Table,
    learned_from,
    make_table,
    rounded,
    to_grid,
)
from ledger.traits.expectation import Kin, trait_rows
from ledger.traits.learning import DEFAULT, Constants, prints_of
from ledger.traits.ranges import DocumentedRange, TaxonEntry
from ledger.traits.readings import Estimate
from ledger.traits.vocabulary import Trait, Vocabulary

DECIBANS_PER_NAT = 10.0 / math.log(10.0)
# Points across a documented range at which its blurred shape is summed, the outermost at its bounds.
NODES = 5
# Student's t with 7 degrees of freedom: exponent (7 + 1) / 2 = 4, so no power function is needed.
TAIL = 7.0
# A total is rounded to a millionth of a deciban.
TOTAL_PER_DECIBAN = 1e6


@dataclass(frozen=True, slots=True)
class Observed:
    """A reading as the evidence takes it: states (months as `1` to `12`), or numbers in the trait's unit.

    `soft`: numbers of single specimens of a trait that grows, where being below the documented range says nothing.
    """

    trait: str
    states: frozenset[str] = frozenset()
    points: tuple[float, ...] = ()
    soft: bool = False


@dataclass(frozen=True, slots=True)
class EvidenceTables:
    """All tables, by trait; `taxa` is the order in which they hold the taxa."""

    taxa: tuple[str, ...]
    traits: Mapping[str, Table]


def observed(
    trait: Trait,
    *,
    states: frozenset[str] = frozenset(),
    months: Iterable[int] = (),
    numbers: Estimate | None = None,
    singles: bool = False,
) -> Observed:
    """What the evidence takes of a reading.

    `singles`: the numbers are those of single caps (replicates, or low and high of a stated few), not the range a
    description gives. Of single measurements a `mean` trait takes the mean; otherwise both ends of the range count.
    """
    if trait.kind == "months":
        return Observed(trait.code, frozenset(str(month) for month in months))
    if trait.kind == "states" or numbers is None:
        return Observed(trait.code, states)
    if trait.compared == "mean" and singles:
        return Observed(trait.code, points=(numbers.mean,))
    points = (numbers.low,) if numbers.low == numbers.high else (numbers.low, numbers.high)
    return Observed(trait.code, points=points, soft=trait.growth and singles)


def compile_tables(
    vocabulary: Vocabulary,
    taxa: Sequence[TaxonEntry],
    ranges: Iterable[DocumentedRange],
    calibration: Calibration,
    constants: Constants = DEFAULT,
) -> EvidenceTables:
    """The tables of a reference. A trait without calibration gets none: readings of it weigh nothing."""
    kin = Kin.of(taxa)
    weights = calibration.tables.get("weights", {})
    made: dict[str, Table] = {}
    for code, prints in prints_of(vocabulary, taxa, ranges).items():
        learned = learned_from(calibration, code)
        if learned is not None:
            rows = trait_rows(range(len(kin.family)), prints, learned, kin, constants)
            factor = DECIBANS_PER_NAT * calibration.scale * float(weights.get(code, 0.0))
            made[code] = rounded(make_table(vocabulary.traits[code].kind, rows, learned, factor, constants))
    return EvidenceTables(tuple(entry.name for entry in taxa), made)


def weigh(tables: EvidenceTables, readings: Iterable[Observed]) -> dict[str, list[float]]:
    """Decibans of each reading, by trait, for each taxon in the order of `tables.taxa`; no table, no entry."""
    found: dict[str, list[float]] = {}
    for reading in readings:
        table = tables.traits.get(reading.trait)
        if table is not None and (reading.states or reading.points):
            found[reading.trait] = weigh_one(table, reading)
    return found


def totals(tables: EvidenceTables, weighed: Mapping[str, Sequence[float]]) -> list[float]:
    """Sum over the readings, for each taxon, in decibans, to a millionth."""
    sums = [math.fsum(column) for column in zip(*weighed.values(), strict=True)] or [0.0] * len(tables.taxa)
    return [to_grid(one, TOTAL_PER_DECIBAN) for one in sums]


def probabilities(weights_db: Sequence[float]) -> list[float]:
    """Share of each taxon among all of the reference, each as likely as the other beforehand. Sums to 1."""
    if not weights_db:
        return []
    best = max(weights_db)
    odds = [math.exp((weight - best) / DECIBANS_PER_NAT) for weight in weights_db]
    whole = math.fsum(odds)
    return [one / whole for one in odds]


def weigh_one(table: Table, reading: Observed) -> list[float]:
    """Decibans of one reading for each taxon."""
    if isinstance(table, NumberTable):
        return _weigh_numbers(table, reading.points, reading.soft)
    steps = [table.step[state] for state in sorted(reading.states) if state in table.step]
    if isinstance(table, StateTable):
        return [math.fsum(column) for column in zip(table.base, *steps, strict=True)]
    if not steps:
        return []
    return [math.fsum(column) / len(steps) for column in zip(*steps, strict=True)]


def _weigh_numbers(table: NumberTable, points: Sequence[float], soft: bool) -> list[float]:
    share = table.factor * (table.pair if len(points) > 1 else 1.0)
    found = [0.0] * len(table.rows)
    for point in points:
        if point <= 0.0:
            continue  # no logarithm; a reading of zero says nothing on this scale
        densities = _densities(table.rows, math.log(point), soft)
        background = math.fsum(densities) / len(densities)
        found = [
            so_far + share * math.log(density / background)
            for so_far, density in zip(found, densities, strict=True)
        ]
    return found


def _densities(rows: Sequence[tuple[float, float, float]], at: float, soft: bool) -> list[float]:
    """Blurred shape of each taxon's range at `at`, but for a factor common to all."""
    found = []
    for top, width, blur in rows:
        x = max(at, top - width) if soft else at
        stretch = 1.0 / blur
        z = (x - top) * stretch
        step = width * stretch / (NODES - 1)
        density = 0.0
        for _ in range(NODES):
            tail = 1.0 + z * z / TAIL
            tail *= tail
            density += 1.0 / (tail * tail)
            z += step
        found.append(density * stretch)
    return found
