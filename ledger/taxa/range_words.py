"""A range of the club's own in words: "cap width 20 to 80 mm, rarely up to 110". static/js/taxon.js says the same."""

from collections.abc import Collection
from functools import reduce

from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import Said, later, lowered, say

# From the smallest to the largest, as they stand in the form.
BOUNDS = (
    ("low_extreme", later("Rarely down to")),
    ("low", later("From")),
    ("high", later("To")),
    ("high_extreme", later("Rarely up to")),
)


def trait_name(trait: Trait) -> str:
    """What stands before the figures: "cap width", without what only whoever measures needs."""
    label = say(trait.label)
    name = str(label).partition(",")[0]
    return name.lower() if label == label.english else name


def unit_words(trait: Trait) -> str:
    """The unit as people say it: mm, µm, per mm."""
    return with_unit("", trait.unit).strip()


def said_unit(trait: Trait) -> str:
    """The unit behind the figures; none where the trait's name says it already, as in "pores per millimetre"."""
    return "" if "per millimetre" in trait.label.partition(",")[0].lower() else unit_words(trait)


def bounds_words(
    trait: Trait,
    *,
    low_extreme: float | None,
    low: float | None,
    high: float | None,
    high_extreme: float | None,
) -> str:
    """The bounds that are given, in the trait's unit."""
    low_said, high_said = (None if bound is None else number_text(bound) for bound in (low, high))
    usual = ""
    if low_said and high_said:
        usual = say("{low} to {high}", low=low_said, high=high_said) if low_said != high_said else low_said
    elif high_said:
        usual = say("up to {value}", value=high_said)
    elif low_said:
        usual = say("from {value}", value=low_said)
    unit = said_unit(trait)
    parts = [part for part in (usual, _rare(low_extreme, high_extreme)) if part]
    if parts and unit:
        parts[0] = f"{parts[0]} {unit}"
    return f"{trait_name(trait)} {', '.join(parts)}"


def _rare(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return say("rarely down to {low} and up to {high}", low=number_text(low), high=number_text(high))
    if low is not None:
        return say("rarely down to {low}", low=number_text(low))
    return say("rarely up to {high}", high=number_text(high)) if high is not None else ""


def states_words(trait: Trait, states: Collection[str]) -> str:
    """The states by their labels, in the order of the vocabulary."""
    named = [lowered(state.label) for state in trait.states if state.code in states]
    joined: str = reduce(
        lambda first, last: say("{first} or {last}", first=first, last=last), named or [Said("")]
    )
    return f"{trait_name(trait)} {joined}"
