"""What the evidence learns from the reference as a whole: how freely sources swap states, how far numbers spread.

A *print* is what one source prints of one trait of one taxon, the rows of all conditions taken together. Numbers are
kept as natural logarithms. Binding house rules are limits of the club, no descriptions, and are no prints.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.ranges import DocumentedRange, TaxonEntry, months_of
from ledger.traits.vocabulary import Vocabulary

# Kinds of source that describe no specimen of their own: they may be learned from, but are not put to the test.
NO_SPECIMEN = ("memory", "common practice")


@dataclass(frozen=True, slots=True)
class Constants:
    """The few numbers of the model set by hand, the same for all traits. The report shows what each is worth.

    own, genus, family   how many sources (or taxa) the level above counts for
    swapped              share of the interchange, against that of the relatives, in what is expected of a taxon
    absent               what a state that was not seen counts for, against one that was
    kinship              share of the variance between taxa that is left within a genus
    blur                 the part of the spread between sources by which a documented range is blurred
    pair                 what each end of a low-high reading counts for, against a single value
    few                  how many made-up pairs of sources, with a variance of `few_variance`, steady a spread
    """

    own: float = 0.8
    genus: float = 1.5
    family: float = 2.0
    swapped: float = 0.5
    absent: float = 0.8
    kinship: float = 0.6
    blur: float = 0.5
    pair: float = 0.8
    few: float = 5.0
    few_variance: float = 0.1
    row_smoothing: float = 3.0


DEFAULT = Constants()


@dataclass(frozen=True, slots=True)
class Print:
    """What one source prints of one trait of one taxon (its place in the list of taxa): states, or ln of the bounds."""

    taxon: int
    source: str
    states: frozenset[str] = frozenset()
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Spread:
    """Of a logarithm: mean over taxa, variance between taxa, variance between sources of one taxon."""

    centre: float
    between: float
    within: float


@dataclass(frozen=True, slots=True)
class LearnedStates:
    """`background[s]`: share of prints that name s. `interchange[s][z]`: how likely another source names z."""

    background: Mapping[str, float]
    interchange: Mapping[str, Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class LearnedNumbers:
    """Spreads of ln(upper bound) and of its distance from ln(lower bound)."""

    top: Spread
    width: Spread


Learned = LearnedStates | LearnedNumbers


def prints_of(
    vocabulary: Vocabulary, taxa: Sequence[TaxonEntry], ranges: Iterable[DocumentedRange]
) -> dict[str, tuple[Print, ...]]:
    """All prints by trait, in the order of taxa and sources. Rows that give neither states nor a bound are none."""
    place = {entry.name: index for index, entry in enumerate(taxa)}
    grouped: dict[str, dict[tuple[int, str], list[DocumentedRange]]] = {}
    for row in ranges:
        if not row.binding:
            by_key = grouped.setdefault(row.trait, {})
            by_key.setdefault((place[row.taxon], row.source_id), []).append(row)
    made: dict[str, tuple[Print, ...]] = {}
    for trait, by_key in grouped.items():
        kind = vocabulary.traits[trait].kind
        found = (_print(kind, taxon, source, by_key[taxon, source]) for taxon, source in sorted(by_key))
        made[trait] = tuple(one for one in found if one is not None)
    return made


def _print(kind: str, taxon: int, source: str, rows: Sequence[DocumentedRange]) -> Print | None:
    if kind == "states":
        return Print(taxon, source, states=frozenset().union(*(row.states for row in rows)))
    lows = [row.low if row.low is not None else row.low_extreme for row in rows]
    highs = [row.high if row.high is not None else row.high_extreme for row in rows]
    if kind == "months":
        pairs = [(a, b) for a, b in zip(lows, highs, strict=True) if a is not None and b is not None]
        months = frozenset().union(*(months_of(int(low), int(high)) for low, high in pairs))
        return Print(taxon, source, states=frozenset(map(str, months))) if months else None
    low = min((x for x in lows if x is not None and x > 0), default=None)
    high = max((x for x in highs if x is not None and x > 0), default=low)
    if high is None:
        return None
    return Print(taxon, source, low=None if low is None else math.log(low), high=math.log(high))


def learn(prints: Collection[Print], states: Sequence[str], constants: Constants = DEFAULT) -> Learned | None:
    """Learn a trait from its prints; `states` is empty for a number. None when there is nothing to learn from."""
    if not prints:
        return None
    return _learn_states(prints, states, constants) if states else _learn_numbers(prints, constants)


def _learn_states(prints: Collection[Print], states: Sequence[str], constants: Constants) -> LearnedStates:
    """Every ordered pair of sources of one taxon is a case, weighted so that each source counts once."""
    background = {s: (sum(s in one.states for one in prints) + 0.5) / (len(prints) + 1.0) for s in states}
    counts = {s: dict.fromkeys(states, 0.0) for s in states}
    totals = dict.fromkeys(states, 0.0)
    for group in _by_taxon(prints).values():
        for first in group:
            for second in group:
                if first is second:
                    continue
                share = 1.0 / (len(group) - 1) / len(first.states)
                for s in first.states:
                    totals[s] += share
                    for z in second.states:
                        counts[s][z] += share
    pull = constants.row_smoothing
    interchange = {
        s: {z: (counts[s][z] + pull * background[z]) / (totals[s] + pull) for z in states} for s in states
    }
    return LearnedStates(background, interchange)


def _learn_numbers(prints: Collection[Print], constants: Constants) -> LearnedNumbers:
    top = [(one.taxon, one.high) for one in prints if one.high is not None]
    width = [
        (one.taxon, one.high - one.low) for one in prints if one.high is not None and one.low is not None
    ]
    return LearnedNumbers(_spread(top, constants), _spread(width, constants))


def _spread(values: Sequence[tuple[int, float]], constants: Constants) -> Spread:
    """One-way analysis of variance; a few made-up pairs keep a trait with hardly any pairs from looking exact."""
    if not values:
        return Spread(math.log(2.0), constants.few_variance, constants.few_variance)
    groups: dict[int, list[float]] = {}
    for taxon, value in values:
        groups.setdefault(taxon, []).append(value)
    means = {taxon: math.fsum(group) / len(group) for taxon, group in groups.items()}
    centre = math.fsum(means.values()) / len(means)
    between = math.fsum((mean - centre) ** 2 for mean in means.values()) / len(means)
    squares = math.fsum((value - means[taxon]) ** 2 for taxon, value in values)
    freedom = len(values) - len(groups)
    within = (squares + constants.few * constants.few_variance) / (freedom + constants.few)
    return Spread(centre, between + 1e-3, within)


def _by_taxon(prints: Iterable[Print]) -> dict[int, list[Print]]:
    groups: dict[int, list[Print]] = {}
    for one in prints:
        groups.setdefault(one.taxon, []).append(one)
    return groups
