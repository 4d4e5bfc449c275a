"""What is to be expected of each taxon: its own sources, drawn toward interchange, genus and family where they are few.

Empirical Bayes: every level stands for a number of sources (or taxa) of the level below, see `Constants`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.learning import Constants, Learned, LearnedNumbers, LearnedStates, Print, Spread
from ledger.traits.ranges import TaxonEntry

# No state is impossible, none certain: sources slip, and so do readers.
_FLOOR = 1e-4


@dataclass(frozen=True, slots=True)
class Kin:
    """For each taxon the places of the taxa of its family, itself included, and the genus of each taxon."""

    genus: tuple[str, ...]
    family: tuple[tuple[int, ...], ...]

    @classmethod
    def of(cls, taxa: Sequence[TaxonEntry]) -> Kin:
        groups: dict[str, list[int]] = {}
        # A taxon of unknown family is its own family.
        names = [entry.family or entry.name for entry in taxa]
        for index, name in enumerate(names):
            groups.setdefault(name, []).append(index)
        return cls(tuple(entry.name.split()[0] for entry in taxa), tuple(tuple(groups[n]) for n in names))


StateRow = dict[str, float]
NumberRow = tuple[float, float, float]
Row = StateRow | NumberRow


def trait_rows(
    places: Iterable[int], prints: Iterable[Print], learned: Learned, kin: Kin, constants: Constants
) -> dict[int, Row]:
    """What is expected of each taxon at `places`: chance of naming each state, or top, width and blur."""
    by_taxon: dict[int, list[Print]] = {}
    for one in prints:
        by_taxon.setdefault(one.taxon, []).append(one)
    families = {kin.family[place] for place in places}
    rows: dict[int, Row] = {}
    for family in sorted(families):
        if isinstance(learned, LearnedStates):
            rows.update(_state_rows(family, by_taxon, learned, kin, constants))
        else:
            rows.update(_number_rows(family, by_taxon, learned, kin, constants))
    return rows


def _state_rows(
    family: Sequence[int],
    by_taxon: Mapping[int, Sequence[Print]],
    learned: LearnedStates,
    kin: Kin,
    constants: Constants,
) -> dict[int, StateRow]:
    states = list(learned.background)
    counts = {
        taxon: [float(sum(s in one.states for one in by_taxon[taxon])) for s in states]
        for taxon in family
        if taxon in by_taxon
    }
    expected = []  # per state: by taxon, what its relatives lead to expect
    for index, state in enumerate(states):
        means = {taxon: row[index] / len(by_taxon[taxon]) for taxon, row in counts.items()}
        expected.append(_from_relatives(family, means, learned.background[state], kin, constants))
    rows = {}
    for taxon in family:
        row, number = counts.get(taxon), len(by_taxon.get(taxon, ()))
        chances = {}
        for index, state in enumerate(states):
            prior = expected[index][taxon]
            if row is None:
                chance = prior
            else:
                swapped = sum(
                    count * learned.interchange[s][state]
                    for s, count in zip(states, row, strict=True)
                    if count
                ) / sum(row)
                prior = (1.0 - constants.swapped) * prior + constants.swapped * swapped
                chance = (row[index] + constants.own * prior) / (number + constants.own)
            chances[state] = min(max(chance, _FLOOR), 1.0 - _FLOOR)
        rows[taxon] = chances
    return rows


def _number_rows(
    family: Sequence[int],
    by_taxon: Mapping[int, Sequence[Print]],
    learned: LearnedNumbers,
    kin: Kin,
    constants: Constants,
) -> dict[int, NumberRow]:
    tops = {
        taxon: [one.high for one in by_taxon[taxon] if one.high is not None]
        for taxon in family
        if taxon in by_taxon
    }
    widths = {
        taxon: [one.high - one.low for one in by_taxon[taxon] if one.high is not None and one.low is not None]
        for taxon in family
        if taxon in by_taxon
    }
    centred = _shrunk(family, tops, learned.top, kin, constants)
    spanned = _shrunk(family, widths, learned.width, kin, constants)
    return {
        taxon: (
            centred[taxon][0],
            max(spanned[taxon][0], 0.02),
            constants.blur * math.sqrt(centred[taxon][1] + learned.top.within),
        )
        for taxon in family
    }


def _shrunk(
    family: Sequence[int],
    values: Mapping[int, Sequence[float]],
    spread: Spread,
    kin: Kin,
    constants: Constants,
) -> dict[int, tuple[float, float]]:
    """Mean of the taxon's sources drawn toward its relatives (empirical Bayes), and the variance of that mean."""
    means = {taxon: math.fsum(row) / len(row) for taxon, row in values.items() if row}
    expected = _from_relatives(family, means, spread.centre, kin, constants)
    found = {}
    for taxon in family:
        related = any(kin.genus[mate] == kin.genus[taxon] for mate in means if mate != taxon)
        pull = spread.within / (spread.between * (constants.kinship if related else 0.9))
        number = len(values.get(taxon, ()))
        mean = (number * means.get(taxon, 0.0) + pull * expected[taxon]) / (number + pull)
        found[taxon] = mean, spread.within / (number + pull)
    return found


def _from_relatives(
    family: Sequence[int], means: Mapping[int, float], background: float, kin: Kin, constants: Constants
) -> dict[int, float]:
    """What the other taxa of the genus, behind them those of the family, behind them all taxa lead to expect."""
    whole, number = math.fsum(means.values()), len(means)
    by_genus: dict[str, list[float]] = {}
    for mate, mean in means.items():
        by_genus.setdefault(kin.genus[mate], []).append(mean)
    found = {}
    for taxon in family:
        own = means.get(taxon)
        others, many = (whole, number) if own is None else (whole - own, number - 1)
        of_family = (others + constants.family * background) / (many + constants.family)
        mates = by_genus.get(kin.genus[taxon], [])
        near, few = (
            (math.fsum(mates), len(mates)) if own is None else (math.fsum(mates) - own, len(mates) - 1)
        )
        found[taxon] = (near + constants.genus * of_family) / (few + constants.genus)
    return found
