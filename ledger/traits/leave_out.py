"""Leave a source out: its description of a taxon becomes a specimen, and what the others lead to expect is rebuilt.

A *case* is all that one source prints of one taxon, six traits or more, by someone with a page to show (not `memory`,
not `common practice`). Leaving out touches only rows of the source's taxa and of their families, so tables are kept
and those rows replaced.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.evidence import Observed, weigh_one
from ledger.traits.evidence_tables import Table, make_table, replaced
from ledger.traits.expectation import Kin, trait_rows
from ledger.traits.learning import DEFAULT, NO_SPECIMEN, Constants, Learned, Print, learn, prints_of
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.vocabulary import Vocabulary

LEAST_TRAITS = 6
MONTHS = tuple(str(month) for month in range(1, 13))


@dataclass(frozen=True, slots=True)
class Case:
    """What one source prints of one taxon: readings by trait, numbers as the ranges they are. `family`: of the source."""

    taxon: int
    source: str
    family: str
    readings: Mapping[str, Observed]


@dataclass(frozen=True, slots=True)
class Material:
    """The reference as the calibration sees it; `families` names the family of each source."""

    vocabulary: Vocabulary
    taxa: tuple[TaxonEntry, ...]
    kin: Kin
    prints: Mapping[str, tuple[Print, ...]]
    families: Mapping[str, str]
    cases: tuple[Case, ...]


def material(
    vocabulary: Vocabulary,
    taxa: Sequence[TaxonEntry],
    sources: Mapping[str, Source],
    ranges: Iterable[DocumentedRange],
) -> Material:
    """Gather prints and cases of a reference."""
    prints = prints_of(vocabulary, taxa, ranges)
    families = {source.id: family_of(source) for source in sources.values()}
    found: dict[tuple[int, str], dict[str, Observed]] = {}
    for trait, of_trait in prints.items():
        for one in of_trait:
            if sources[one.source].kind not in NO_SPECIMEN:
                ends = sorted({math.exp(bound) for bound in (one.low, one.high) if bound is not None})
                reading = Observed(trait, one.states, tuple(ends))
                found.setdefault((one.taxon, one.source), {})[trait] = reading
    cases = tuple(
        Case(taxon, source, families[source], readings)
        for (taxon, source), readings in sorted(found.items())
        if len(readings) >= LEAST_TRAITS
    )
    return Material(vocabulary, tuple(taxa), Kin.of(taxa), prints, families, cases)


def family_of(source: Source) -> str:
    """Sources whose ids begin alike (`ncsu-...`) are pages of one site, one hand or one handbook behind them.

    All articles of the free encyclopaedia are one family, whatever their language.
    """
    stem = (source.voice or source.id).split("-")[0]
    return "wiki" if stem.endswith("wiki") else stem


def states_of(vocabulary: Vocabulary, trait: str) -> tuple[str, ...]:
    """What a trait can show: states, months as `1` to `12`, nothing for numbers."""
    entry = vocabulary.traits[trait]
    return MONTHS if entry.kind == "months" else tuple(state.code for state in entry.states)


def learn_all(
    material: Material, left_out: Collection[str] = (), constants: Constants = DEFAULT
) -> dict[str, Learned]:
    """Interchange, backgrounds and spreads by trait, from all sources but those left out."""
    found = {}
    for trait, prints in material.prints.items():
        kept = [one for one in prints if one.source not in left_out]
        learned = learn(kept, states_of(material.vocabulary, trait), constants)
        if learned is not None:
            found[trait] = learned
    return found


class Scales:
    """Weighs cases with given learned figures; what a taxon should show comes from all sources but `left_out`."""

    def __init__(
        self,
        material: Material,
        learned: Mapping[str, Learned],
        left_out: Collection[str] = (),
        constants: Constants = DEFAULT,
    ) -> None:
        self.material, self.learned, self.constants = material, learned, constants
        self._by_family: dict[str, dict[tuple[int, ...], list[Print]]] = {}
        self._tables: dict[str, Table] = {}
        for trait, of_trait in learned.items():
            prints = [one for one in material.prints[trait] if one.source not in left_out]
            groups: dict[tuple[int, ...], list[Print]] = {}
            for one in prints:
                groups.setdefault(material.kin.family[one.taxon], []).append(one)
            self._by_family[trait] = groups
            rows = trait_rows(range(len(material.taxa)), prints, of_trait, material.kin, constants)
            self._tables[trait] = make_table(self._kind(trait), rows, of_trait, 1.0, constants)

    def evidence(self, case: Case, without: Collection[str]) -> dict[str, list[float]]:
        """Evidence (nats, unweighted) by trait for each taxon, those sources left out of all taxa."""
        return {
            trait: weigh_one(self._table(trait, without), reading)
            for trait, reading in case.readings.items()
            if trait in self.learned
        }

    def _table(self, trait: str, without: Collection[str]) -> Table:
        table, learned, kin = self._tables[trait], self.learned[trait], self.material.kin
        for family, prints in self._by_family[trait].items():
            kept = [one for one in prints if one.source not in without]
            if len(kept) < len(prints):
                rows = trait_rows(family[:1], kept, learned, kin, self.constants)
                table = replaced(table, self._kind(trait), rows, learned, 1.0, self.constants)
        return table

    def _kind(self, trait: str) -> str:
        return self.material.vocabulary.traits[trait].kind
