"""The possible answers to a look at one trait, as tables over all taxa: how likely each is, and whom it would leave.

States documented for a taxon are equally likely answers; numbers lie evenly (on a log scale) over its documented range,
cut at documented bounds. A share of the trait's measured error rate is spread over all answers.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ledger.traits.documented import Documented, documented
from ledger.traits.outcome import trait_calibration
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Trait

_MOST_CUTS = 7


@dataclass(frozen=True, slots=True)
class Cut:
    """A number at least `at`, or less: by taxon the chance of the first, its entropy, and whom each of the two leaves."""

    at: float
    chance: tuple[float, ...]
    entropy: tuple[float, ...]
    more_leaves: tuple[bool, ...]
    less_leaves: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Answers:
    """Every column runs over the taxa in the order of the reference.

    `chances` and `leaves` have one column per answer: a state of `texts`, or a stretch between `cuts`. `entropy` is that
    of a taxon's answers in bits. For numbers there is one `Cut` per cut. `texts` are labels as the vocabulary has them.
    """

    texts: tuple[str, ...]
    cuts: tuple[Cut, ...]
    chances: tuple[tuple[float, ...], ...]
    leaves: tuple[tuple[bool, ...], ...]
    entropy: tuple[float, ...]


def answers_for(reference: Reference, trait: Trait, state: str | None, age: str | None) -> Answers | None:
    """The table for a specimen in that condition, made on first use; None if nothing documented would judge it."""
    key = ("answers", trait.code, state, age)
    if key not in reference.memo:
        known = {
            taxon: doc
            for taxon, doc in documented(reference, trait, state, age).items()
            if doc.yes or doc.maybe
        }
        made = None
        if known and trait.kind == "states":
            made = _state_answers(reference, trait, known)
        elif known:
            made = _number_answers(reference, trait, known)
        reference.memo[key] = made
    found: Answers | None = reference.memo[key]
    return found


def entropy_bits(shares: Iterable[float]) -> float:
    """Shannon entropy of shares that sum to one."""
    return -sum(p * math.log2(p) for p in shares if p > 0.0)


def two_way_entropy(p: float) -> float:
    """Entropy in bits of a yes or no with chance p."""
    return 0.0 if p <= 0.0 or p >= 1.0 else -p * math.log2(p) - (1.0 - p) * math.log2(1.0 - p)


def _state_answers(reference: Reference, trait: Trait, known: Mapping[str, Documented]) -> Answers:
    codes = [state.code for state in trait.states]
    leaves = {
        taxon: tuple(code in doc.allowed or code in doc.excused for code in codes)
        for taxon, doc in known.items()
    }
    error = trait_calibration(reference, trait.code).error_rate or 0.0
    chances = {taxon: _smoothed([float(flag) for flag in flags], error) for taxon, flags in leaves.items()}
    return _table(reference, tuple(state.label for state in trait.states), (), chances, leaves)


def _number_answers(reference: Reference, trait: Trait, known: Mapping[str, Documented]) -> Answers | None:
    hulls = {taxon: _hull(doc) for taxon, doc in known.items()}
    bounds = sorted({b for hull in hulls.values() for b in hull if b is not None})
    if len(bounds) < 2:
        return None
    step = max(1.0, (len(bounds) - 2) / _MOST_CUTS)
    cuts = sorted({bounds[1 + int(i * step)] for i in range(_MOST_CUTS) if 1 + int(i * step) < len(bounds)})
    edges = list(itertools.pairwise([-math.inf, *cuts, math.inf]))
    error = trait_calibration(reference, trait.code).error_rate or 0.0
    chances, leaves = {}, {}
    for taxon, (documented_low, high) in hulls.items():
        # For growth traits every small value leaves every taxon: it may be young.
        low = None if trait.growth else documented_low
        bottom, top = low or bounds[0], high or bounds[-1]
        chances[taxon] = _smoothed([_share(bottom, max(top, bottom), a, b) for a, b in edges], error)
        leaves[taxon] = tuple((low is None or low < b) and (high is None or high >= a) for a, b in edges)
    return _table(reference, (), tuple(cuts), chances, leaves)


def _hull(doc: Documented) -> tuple[float | None, float | None]:
    """Outermost bounds of the rows without doubt, or of all if all are doubted. A bound of zero is none on a log scale."""
    rows = [row for row in (*doc.yes, *doc.maybe) if not row.doubtful] or [*doc.yes, *doc.maybe]
    lows = [row.lowest for row in rows if row.lowest]
    highs = [row.highest for row in rows if row.highest]
    return min(lows, default=None), max(highs, default=None)


def _share(bottom: float, top: float, a: float, b: float) -> float:
    """Share of bottom..top, on a log scale, that lies in [a, b); a single value lies in one of them."""
    if top <= bottom:
        return 1.0 if a <= bottom < b else 0.0
    low, high = max(bottom, a), min(top, b)
    return math.log(high / low) / math.log(top / bottom) if high > low else 0.0


def _smoothed(shares: Sequence[float], error: float) -> tuple[float, ...]:
    total = math.fsum(shares)
    even = 1.0 / len(shares)
    if total <= 0.0:
        return tuple(even for _ in shares)
    return tuple((1.0 - error) * share / total + error * even for share in shares)


def _table(
    reference: Reference,
    texts: tuple[str, ...],
    cuts: tuple[float, ...],
    chances: Mapping[str, tuple[float, ...]],
    leaves: Mapping[str, tuple[bool, ...]],
) -> Answers:
    """Taxa of which nothing is documented answer as the average taxon does, and every answer leaves them."""
    average = tuple(math.fsum(column) / len(chances) for column in zip(*chances.values(), strict=True))
    every = tuple(True for _ in average)
    rows = [chances.get(taxon, average) for taxon in reference.taxa]
    left = [leaves.get(taxon, every) for taxon in reference.taxa]
    return Answers(
        texts,
        tuple(_cut(at, i, rows, left) for i, at in enumerate(cuts, 1)),
        tuple(zip(*rows, strict=True)),
        tuple(zip(*left, strict=True)),
        tuple(entropy_bits(row) for row in rows),
    )


def _cut(at: float, place: int, rows: Sequence[tuple[float, ...]], left: Sequence[tuple[bool, ...]]) -> Cut:
    chance = tuple(min(1.0, math.fsum(row[place:])) for row in rows)
    return Cut(
        at,
        chance,
        tuple(two_way_entropy(p) for p in chance),
        tuple(any(flags[place:]) for flags in left),
        tuple(any(flags[:place]) for flags in left),
    )
