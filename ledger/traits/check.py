"""The trait check: one specimen against the whole reference.

    reference = Reference.build(...)
    result = check_specimen(reference, specimen)

The check says agrees, speaks against, missing or cannot tell. It never says what a find is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import reduce

from ledger.traits.explain import decide_alone, dissent_text, either_text, measured, states_text, why
from ledger.traits.lookalikes import rank, weigh
from ledger.traits.next_look import next_looks
from ledger.traits.outcome import Seen, decide, holds_something, see, trait_calibration, unmet_need
from ledger.traits.readings import Specimen
from ledger.traits.reference import Reference
from ledger.traits.results import (
    Against,
    Answer,
    Candidate,
    CheckResult,
    Measured,
    NextLook,
    Slip,
    TraitOutcome,
)
from ledger.traits.standing import Column, column, standing
from ledger.traits.typing_slips import find_slip
from ledger.traits.vocabulary import Trait
from ledger.words import lowered, one_reader, say, together

__all__ = [
    "Against",
    "Answer",
    "Candidate",
    "CheckResult",
    "Measured",
    "NextLook",
    "Slip",
    "TraitOutcome",
    "check_specimen",
]


def check_specimen(reference: Reference, specimen: Specimen, *, for_flags: bool = False) -> CheckResult:
    """Check one specimen. SpecimenError if a reading cannot be one of its trait; an unknown taxon is no error.

    `for_flags` is the shorter check of a find that is being saved: without a next look, and of the look-alikes only
    those that weigh as much as the named taxon or more. No flag rests on anything else.
    """
    # Some five hundred sentences: to ask for the reader's language at each took a good part of the time.
    with one_reader():
        return _checked(reference, specimen, for_flags)


def _checked(reference: Reference, specimen: Specimen, for_flags: bool) -> CheckResult:
    seen = see(reference, specimen)
    unmet = {
        code: need
        for code, trait in reference.vocabulary.traits.items()
        if (need := unmet_need(trait, seen)) is not None
    }
    usable = {code: one for code, one in seen.items() if holds_something(one) and code not in unmet}
    columns = [column(reference, usable[code]) for code in reference.vocabulary.traits if code in usable]
    weights = weigh(reference, [(col.seen, specimen.readings[col.seen.trait.code]) for col in columns])
    least_db = weights.get(specimen.taxon or "", -math.inf) if for_flags else -math.inf
    tallies, ranked = rank(reference, columns, weights, frozenset(unmet), least_db)
    looks = next_looks(reference, ranked, seen, specimen.state, specimen.age) if not for_flags else ()
    taxon = specimen.taxon
    if taxon is None:
        return CheckResult(None, None, (), ranked, looks, specimen.id)
    by_code = {col.seen.trait.code: col for col in columns}
    traits = tuple(
        _trait_outcome(reference, taxon, trait, seen.get(trait.code), by_code.get(trait.code), unmet)
        for trait in reference.vocabulary.traits.values()
    )
    if taxon not in reference.taxa:
        note = _unknown_note(reference, taxon)
        return CheckResult(taxon, None, traits, ranked, looks, specimen.id, note=note)
    named = next(candidate for candidate in ranked if candidate.taxon == taxon)
    broken = any(outcome.house_rule for outcome in traits)
    place = standing(reference, tallies[taxon], named.weight_db, named.missing, broken)
    others = tuple(candidate for candidate in ranked if candidate.taxon != taxon)
    return CheckResult(
        taxon=taxon,
        standing=place,
        traits=traits,
        look_alikes=others,
        next_look=looks,
        id=specimen.id,
        weight_db=named.weight_db,
        probability=named.probability,
        missing=named.missing,
    )


def _trait_outcome(
    reference: Reference,
    taxon: str,
    trait: Trait,
    seen: Seen | None,
    col: Column | None,
    unmet: Mapping[str, tuple[str, frozenset[str]]],
) -> TraitOutcome:
    decisive = trait_calibration(reference, trait.code).decisive
    rows = reference.ranges_for(taxon, trait.code)
    shown = measured(seen) if seen is not None and seen.looked != "not looked" else None

    def plain(outcome: str, reason: str) -> TraitOutcome:
        return TraitOutcome(trait.code, outcome, shown, rows, (), reason, decisive)

    if trait.code in unmet:
        return plain("not applicable", _unmet_why(reference, trait, *unmet[trait.code]))
    if seen is None or seen.looked == "not looked":
        return plain("not read", say("Nobody has looked at this yet."))
    if seen.looked == "cannot say":
        return plain("cannot tell", say("Somebody looked, but could not say."))
    if col is None:
        return plain(
            "cannot tell", say("Looked for and absent; what the sources give does not say what that means.")
        )
    known = col.known.get(taxon)
    outcome = decide(seen, known, col.band)
    reason = why(reference, seen, known, outcome, col.band)
    judging = known.yes if known is not None else ()
    dissent: tuple[str, ...] = ()
    if outcome == "within":
        dissent = tuple(
            dict.fromkeys(row.source_id for row in judging if decide_alone(seen, row) == "outside")
        )
        if dissent:
            vouching = [row for row in judging if decide_alone(seen, row) == "within"]
            not_so = say("Not so by {sources}.", sources=dissent_text(reference, vouching, dissent))
            reason = together([reason, not_so])
    house_rule = next(
        (row.source_id for row in judging if row.binding and _breaks(seen, decide_alone(seen, row))), None
    )
    if house_rule is not None:
        beyond = say("It is beyond the club's own rule, which is flagged even where a book allows it.")
        reason = together([reason, beyond])
    slip = find_slip(seen, known, col.band)
    return TraitOutcome(trait.code, outcome, shown, rows, dissent, reason, decisive, slip, house_rule)


def _breaks(seen: Seen, alone: str) -> bool:
    """A house rule on states is broken by any state beyond it, one on numbers when the reading is proven beyond."""
    return alone == "outside" or (alone == "edge" and bool(seen.states or seen.months))


def _unmet_why(reference: Reference, trait: Trait, other: str, states: frozenset[str]) -> str:
    needs = reference.vocabulary.traits[other]
    return say(
        "Applies only where {trait} is {wanted}; here it is {found}.",
        trait=lowered(needs.label),
        wanted=either_text(needs, (trait.applies_when or {})[other]),
        found=states_text(needs, states) or say("none"),
    )


def _unknown_note(reference: Reference, taxon: str) -> str:
    accepted = reference.synonyms.get(taxon, ())
    if accepted:
        return say(
            "The reference lists {taxon} as a synonym of {accepted}; the name was left as it is.",
            taxon=taxon,
            accepted=reduce(lambda one, other: say("{one} and of {other}", one=one, other=other), accepted),
        )
    return say("The reference does not hold {taxon}; only the look-alikes could be checked.", taxon=taxon)
