"""Which unread trait would best part the taxa that are not ruled out, for the least effort.

The gain is the expected drop in entropy (bits), that is the mutual information between taxon and answer (Shannon 1948),
with the answers of answers.py and the taxa in proportion to the weight of evidence so far.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import compress
from operator import mul

from ledger.traits.answers import Answers, answers_for, entropy_bits, two_way_entropy
from ledger.traits.outcome import Seen, unmet_need
from ledger.traits.reference import Reference
from ledger.traits.results import Answer, Candidate, NextLook
from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import capital, lowered, say, together

# Below the first a look is not worth the while and is left out; below the second it is not put first for being
# fresh-only.
LEAST_GAIN_BITS = 0.01
FIRST_GAIN_BITS = 0.1
_SHOWN = 3


class _Open:
    """The taxa not ruled out: their shares (over all taxa, 0 for the others), and places and names, best first."""

    __slots__ = ("names", "places", "shares")

    def __init__(self, reference: Reference, candidates: Sequence[Candidate]) -> None:
        place_of = {taxon: place for place, taxon in enumerate(reference.taxa)}
        still = [candidate for candidate in candidates if candidate.standing != "ruled out"]
        total = math.fsum(candidate.probability or 0.0 for candidate in still)
        self.names = [candidate.taxon for candidate in still]
        self.places = [place_of[name] for name in self.names]
        self.shares = [0.0] * len(place_of)
        for candidate, place in zip(still, self.places, strict=True):
            self.shares[place] = (candidate.probability or 0.0) / total if total > 0.0 else 0.0

    def left_by(self, column: Sequence[bool]) -> tuple[str, ...]:
        """The taxa that an answer leaves, by its column over all taxa."""
        return tuple(compress(self.names, [column[place] for place in self.places]))


def next_looks(
    reference: Reference,
    candidates: Sequence[Candidate],
    seen: Mapping[str, Seen],
    state: str | None,
    age: str | None,
) -> tuple[NextLook, ...]:
    """Unread applicable traits, the best first.

    While the specimen is fresh, traits that drying destroys come first if they promise anything to speak of; within
    each part the best gain per effort leads. The month of the find is not a look.
    """
    still_open = _Open(reference, candidates)
    if len(still_open.names) < 2:
        return ()
    ranked = []
    for trait in reference.vocabulary.traits.values():
        given = seen.get(trait.code)
        unread = given is None or given.looked == "not looked"
        if trait.kind == "months" or not unread or unmet_need(trait, seen) is not None:
            continue
        answers = answers_for(reference, trait, state, age)
        if answers is None:
            continue
        expected = [sum(map(mul, still_open.shares, column)) for column in answers.chances]
        gain = _steady(entropy_bits(expected) - sum(map(mul, still_open.shares, answers.entropy)))
        if gain >= LEAST_GAIN_BITS:
            per_effort = gain / reference.vocabulary.effort_cost[trait.effort]
            first = _goes_first(trait.fresh_only, gain, state)
            told = _told(trait, answers, expected, still_open)
            look = NextLook(trait.code, gain, trait.effort, trait.fresh_only, told, _sentence(trait, told))
            ranked.append((not first, -per_effort, trait.order, look))
    ranked.sort(key=lambda row: row[:3])
    return tuple(look for _, _, _, look in ranked)


def _told(trait: Trait, answers: Answers, expected: Sequence[float], still_open: _Open) -> tuple[Answer, ...]:
    """For states one answer per state that any open taxon shows, the likeliest first; for numbers two."""
    if answers.cuts:
        return _told_by_cut(trait, answers, still_open)
    order = sorted(range(len(expected)), key=lambda i: (-_steady(expected[i]), i))
    told = (Answer(lowered(answers.texts[i]), still_open.left_by(answers.leaves[i])) for i in order)
    return tuple(answer for answer in told if answer.leaves)


def _told_by_cut(trait: Trait, answers: Answers, still_open: _Open) -> tuple[Answer, ...]:
    """Two answers, at the cut that parts the taxa best; of equal cuts the one that leaves fewer."""
    shares = still_open.shares
    gains = [
        _steady(two_way_entropy(sum(map(mul, shares, cut.chance))) - sum(map(mul, shares, cut.entropy)))
        for cut in answers.cuts
    ]
    best = max(gains)
    pairs = []
    for cut, gain in zip(answers.cuts, gains, strict=True):
        if gain == best:
            at = with_unit(number_text(cut.at), trait.unit)
            more = Answer(say("{number} or more", number=at), still_open.left_by(cut.more_leaves))
            pairs.append((more, Answer(say("less"), still_open.left_by(cut.less_leaves))))
    return min(pairs, key=lambda pair: len(pair[0].leaves) + len(pair[1].leaves))


def in_short(look: NextLook, *, still_open: int, state: str | None) -> str:
    """Why this look comes first, in at most 15 words. Its answers are told apart, where there is room for a list."""
    many = f"{still_open:,}"
    if _goes_first(look.fresh_only, look.gain_bits, state):
        return say(
            "Do it while fresh: drying destroys it, and it parts the {many} taxa still open.", many=many
        )
    return say("Of what is unread, this parts the {many} taxa still open best for the effort.", many=many)


def _goes_first(fresh_only: bool, gain_bits: float, state: str | None) -> bool:
    """Whether a look is put first because drying destroys it. The gain counts as it is shown, in thousandths."""
    return state == "fresh" and fresh_only and round(gain_bits, 3) >= FIRST_GAIN_BITS


def _steady(value: float) -> float:
    """To a billionth: logarithms may differ in their last digit from one machine to the next, and no order may."""
    return math.floor(value * 1e9 + 0.5) / 1e9


def _sentence(trait: Trait, told: Sequence[Answer]) -> str:
    meaning = together(
        [
            say("{answer} would leave {taxa}", answer=answer.text, taxa=_listed(answer.leaves))
            for answer in told[:_SHOWN]
        ],
        "; ",
    )
    return together([say(trait.ask), together([capital(meaning), "."], "")])


def _listed(taxa: tuple[str, ...]) -> str:
    if not taxa:
        return say("none of them")
    if len(taxa) <= _SHOWN:
        return ", ".join(taxa)
    return say("{names} and {n} more", names=", ".join(taxa[:_SHOWN]), n=len(taxa) - _SHOWN)
