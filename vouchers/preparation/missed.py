"""What only fresh material shows and nobody has looked at yet. Pure."""

from collections.abc import Mapping

from ledger.traits.outcome import Seen, unmet_need
from ledger.traits.readings import Reading
from ledger.traits.vocabulary import Vocabulary
from vouchers.preparation.order import SPORE_PRINT, State

DRY = frozenset({"air-dry", "oven-dry", "weathered"})
# The trait that a spore print is taken for: its colour can be read off the print later.
_OF_THE_PRINT = "spore_print"


def missed_fresh_only(
    vocabulary: Vocabulary, readings: Mapping[str, Reading], specimen_state: str, state: State
) -> tuple[str, ...]:
    """Return the fresh-only traits not looked at on fresh material, in the order hands do things, and the spore print.

    `readings` are the find's current ones by trait; a reading made dry does not count, one without a condition has that
    of the specimen. A trait that does not apply (pores per mm of a smooth underside) is not missed. A specimen that was
    dry when it was found has nothing left to miss.
    """
    if specimen_state in DRY:
        return ()
    seen = {
        code: Seen(vocabulary.traits[code], one.looked, one.state, one.age, states=one.states)
        for code, one in readings.items()
        if code in vocabulary.traits
    }
    missed = [
        code
        for code, trait in vocabulary.traits.items()
        if trait.fresh_only
        and code != _OF_THE_PRINT
        and not _looked_at_fresh(readings.get(code))
        and unmet_need(trait, seen) is None
    ]
    if not state.print_taken and not _looked_at_fresh(readings.get(_OF_THE_PRINT)):
        missed.append(SPORE_PRINT)
    return tuple(missed)


def _looked_at_fresh(reading: Reading | None) -> bool:
    return reading is not None and reading.looked != "not looked" and (reading.state or "") not in DRY
