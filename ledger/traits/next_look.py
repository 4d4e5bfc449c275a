"""Which unread trait would best part the taxa that are not ruled out, for the least effort.

The gain is the expected drop in entropy (bits), that is the mutual information between taxon and answer: states
documented for a taxon are equally likely answers, numbers lie evenly (on a log scale) over its documented range, cut
at documented bounds; a share of the trait's measured error rate is spread over all answers.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

from ledger.traits.documented import Documented, documented
from ledger.traits.outcome import Seen, trait_calibration, unmet_need
from ledger.traits.reference import Reference
from ledger.traits.results import Answer, Candidate, NextLook
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait

# Below this a look is not worth the while: it is left out, and it is not put first for being fresh-only.
LEAST_GAIN_BITS = 0.01
FIRST_GAIN_BITS = 0.1
_MOST_CUTS = 7
_NAMES_SHOWN = 3
_NEGLIGIBLE = 1e-4


@dataclass(frozen=True, slots=True)
class Answers:
    """The possible answers to one trait: how likely each is for each taxon, and which taxa each would leave."""

    texts: tuple[str, ...]
    cuts: tuple[float, ...]
    chances: Mapping[str, tuple[float, ...]]
    entropy: Mapping[str, float]
    leaves: Mapping[str, tuple[bool, ...]]


def next_looks(
    reference: Reference,
    candidates: tuple[Candidate, ...],
    seen: Mapping[str, Seen],
    state: str | None,
    age: str | None,
) -> tuple[NextLook, ...]:
    """Unread applicable traits, the best first.

    While the specimen is fresh, traits that drying destroys come first if they promise anything to speak of; within
    each part the best gain per effort leads. The month of the find is not a look.
    """
    open_ones = [candidate for candidate in candidates if candidate.standing != "ruled out"]
    likely = [(c.taxon, c.probability or 0.0) for c in open_ones if (c.probability or 0.0) > _NEGLIGIBLE]
    total = math.fsum(p for _, p in likely)
    if len(likely) < 2 or total <= 0.0:
        return ()
    shares = [(taxon, p / total) for taxon, p in likely]
    names = [candidate.taxon for candidate in open_ones]
    ranked = []
    for trait in reference.vocabulary.traits.values():
        given = seen.get(trait.code)
        unread = given is None or given.looked == "not looked"
        if trait.kind == "months" or not unread or unmet_need(trait, seen) is not None:
            continue
        answers = answers_for(reference, trait, state, age)
        if answers is None:
            continue
        gain = _gain(answers, shares)
        if gain >= LEAST_GAIN_BITS:
            per_effort = gain / reference.vocabulary.effort_cost[trait.effort]
            first = state == "fresh" and trait.fresh_only and gain >= FIRST_GAIN_BITS
            ranked.append((not first, -per_effort, trait.order, gain, trait, answers))
    ranked.sort(key=lambda row: row[:3])
    return tuple(_look(trait, gain, answers, shares, names) for _, _, _, gain, trait, answers in ranked)


def answers_for(reference: Reference, trait: Trait, state: str | None, age: str | None) -> Answers | None:
    """The table of answers for that condition, made on first use; None if nothing documented would judge them."""
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


def _state_answers(reference: Reference, trait: Trait, known: Mapping[str, Documented]) -> Answers:
    codes = [state.code for state in trait.states]
    leaves = {
        taxon: tuple(code in (doc.allowed | doc.excused) for code in codes) for taxon, doc in known.items()
    }
    error = trait_calibration(reference, trait.code).error_rate or 0.0
    chances = {taxon: _smoothed([float(flag) for flag in flags], error) for taxon, flags in leaves.items()}
    return _answers(reference, tuple(state.label for state in trait.states), (), chances, leaves)


def _number_answers(reference: Reference, trait: Trait, known: Mapping[str, Documented]) -> Answers | None:
    hulls = {taxon: _hull(doc) for taxon, doc in known.items()}
    bounds = sorted({b for hull in hulls.values() for b in hull if b is not None})
    if len(bounds) < 2:
        return None
    step = max(1.0, (len(bounds) - 2) / _MOST_CUTS)
    cuts = sorted({bounds[1 + int(i * step)] for i in range(_MOST_CUTS) if 1 + int(i * step) < len(bounds)})
    error = trait_calibration(reference, trait.code).error_rate or 0.0
    chances, leaves = {}, {}
    for taxon, (documented_low, high) in hulls.items():
        # For growth traits every small value leaves every taxon: it may be young.
        low = None if trait.growth else documented_low
        bottom, top = low or bounds[0], high or bounds[-1]
        edges = [-math.inf, *cuts, math.inf]
        shares = [_share(bottom, max(top, bottom), a, b) for a, b in itertools.pairwise(edges)]
        chances[taxon] = _smoothed(shares, error)
        leaves[taxon] = tuple(
            (low is None or low < b) and (high is None or high >= a) for a, b in itertools.pairwise(edges)
        )
    return _answers(reference, (), tuple(cuts), chances, leaves)


def _hull(doc: Documented) -> tuple[float | None, float | None]:
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


def _smoothed(shares: list[float], error: float) -> tuple[float, ...]:
    total = math.fsum(shares)
    even = 1.0 / len(shares)
    if total <= 0.0:
        return tuple(even for _ in shares)
    return tuple((1.0 - error) * share / total + error * even for share in shares)


def _answers(
    reference: Reference,
    texts: tuple[str, ...],
    cuts: tuple[float, ...],
    chances: dict[str, tuple[float, ...]],
    leaves: dict[str, tuple[bool, ...]],
) -> Answers:
    """Taxa of which nothing is documented answer as the average taxon does, and every answer leaves them."""
    rows = list(chances.values())
    average = tuple(math.fsum(column) / len(rows) for column in zip(*rows, strict=True))
    every = tuple(True for _ in average)
    for taxon in reference.taxa:
        chances.setdefault(taxon, average)
        leaves.setdefault(taxon, every)
    entropy = {taxon: _entropy(row) for taxon, row in chances.items()}
    return Answers(texts, cuts, chances, entropy, leaves)


def _entropy(shares: tuple[float, ...]) -> float:
    return -sum(p * math.log2(p) for p in shares if p > 0.0)


def _two_way_entropy(p: float) -> float:
    return 0.0 if p <= 0.0 or p >= 1.0 else -p * math.log2(p) - (1.0 - p) * math.log2(1.0 - p)


def _gain(answers: Answers, shares: list[tuple[str, float]]) -> float:
    mixed = [0.0] * len(next(iter(answers.chances.values())))
    conditional = 0.0
    for taxon, p in shares:
        conditional += p * answers.entropy[taxon]
        for i, chance in enumerate(answers.chances[taxon]):
            mixed[i] += p * chance
    return max(0.0, _entropy(tuple(mixed)) - conditional)


def _look(
    trait: Trait, gain: float, answers: Answers, shares: list[tuple[str, float]], names: list[str]
) -> NextLook:
    if answers.cuts:
        told = _told_by_cut(trait, answers, shares, names)
    else:
        told = _told_by_state(answers, shares, names)
    meaning = "; ".join(f"{answer.text} leaves {_listed(answer.leaves)}" for answer in told[:_NAMES_SHOWN])
    sentence = f"{trait.ask} {meaning[:1].upper()}{meaning[1:]}."
    return NextLook(trait.code, gain, trait.effort, trait.fresh_only, told, sentence)


def _told_by_state(answers: Answers, shares: list[tuple[str, float]], names: list[str]) -> tuple[Answer, ...]:
    """One answer per state that any taxon still open shows, the likeliest first."""
    chance = [
        math.fsum(p * answers.chances[taxon][i] for taxon, p in shares) for i in range(len(answers.texts))
    ]
    order = sorted(range(len(answers.texts)), key=lambda i: (-chance[i], i))
    told = []
    for i in order:
        left = tuple(taxon for taxon in names if answers.leaves[taxon][i])
        if left:
            told.append(Answer(answers.texts[i].lower(), left))
    return tuple(told)


def _told_by_cut(
    trait: Trait, answers: Answers, shares: list[tuple[str, float]], names: list[str]
) -> tuple[Answer, ...]:
    """Two answers, at the cut that parts the taxa best; of equal cuts the one that leaves fewer."""
    gains = [_cut_gain(answers, shares, i) for i in range(1, len(answers.cuts) + 1)]
    best = max(gains) - 1e-9
    told = [_told_at(trait, answers, names, i) for i, gain in enumerate(gains, 1) if gain >= best]
    return min(told, key=lambda pair: len(pair[0].leaves) + len(pair[1].leaves))


def _cut_gain(answers: Answers, shares: list[tuple[str, float]], cut: int) -> float:
    mixed = within = 0.0
    for taxon, p in shares:
        above = min(1.0, sum(answers.chances[taxon][cut:]))
        mixed += p * above
        within += p * _two_way_entropy(above)
    return _two_way_entropy(min(1.0, mixed)) - within


def _told_at(trait: Trait, answers: Answers, names: list[str], cut: int) -> tuple[Answer, Answer]:
    at = with_unit(number_text(answers.cuts[cut - 1]), trait.unit)
    more = tuple(taxon for taxon in names if any(answers.leaves[taxon][cut:]))
    fewer = tuple(taxon for taxon in names if any(answers.leaves[taxon][:cut]))
    return Answer(f"{at} or more", more), Answer("less", fewer)


def _listed(taxa: tuple[str, ...]) -> str:
    if not taxa:
        return "none of them"
    if len(taxa) <= _NAMES_SHOWN:
        return ", ".join(taxa)
    return f"{', '.join(taxa[:_NAMES_SHOWN])} and {len(taxa) - _NAMES_SHOWN} more"
