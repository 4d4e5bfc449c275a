"""A range of the club's own in words: "cap width 20 to 80 mm, rarely up to 110". static/js/taxon.js says the same."""

from collections.abc import Collection

from ledger.traits.units import number_text, with_unit
from ledger.traits.vocabulary import Trait

# From the smallest to the largest, as they stand in the form.
BOUNDS = (
    ("low_extreme", "Rarely down to"),
    ("low", "From"),
    ("high", "To"),
    ("high_extreme", "Rarely up to"),
)


def trait_name(trait: Trait) -> str:
    """What stands before the figures: "cap width", without what only whoever measures needs."""
    return trait.label.partition(",")[0].lower()


def unit_words(trait: Trait) -> str:
    """The unit as people say it: mm, µm, per mm."""
    return with_unit("", trait.unit).strip()


def said_unit(trait: Trait) -> str:
    """The unit behind the figures; none where the trait's name says it already, as in "pores per millimetre"."""
    return "" if "per millimetre" in trait_name(trait) else unit_words(trait)


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
        usual = f"{low_said} to {high_said}" if low_said != high_said else low_said
    elif high_said:
        usual = f"up to {high_said}"
    elif low_said:
        usual = f"from {low_said}"
    rare = " and ".join(
        f"{word} {number_text(bound)}"
        for word, bound in (("down to", low_extreme), ("up to", high_extreme))
        if bound is not None
    )
    unit = said_unit(trait)
    parts = [part for part in (usual, f"rarely {rare}" if rare else "") if part]
    if parts and unit:
        parts[0] = f"{parts[0]} {unit}"
    return f"{trait_name(trait)} {', '.join(parts)}"


def states_words(trait: Trait, states: Collection[str]) -> str:
    """The states by their labels, in the order of the vocabulary."""
    named = [state.label.lower() for state in trait.states if state.code in states]
    return f"{trait_name(trait)} {' or '.join(named)}"
