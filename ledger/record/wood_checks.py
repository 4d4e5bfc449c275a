"""The host against the wood that was read, and the decay class against its scale and the wood."""

from collections.abc import Iterator

from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable, Value
from ledger.words import lowered, say

# Wood of which a scale says plainly whether it is meant. Stumps, roots and buried wood are left to the finder.
_JUDGED = frozenset({"fallen log", "branch", "dead standing", "living tree"})


def host_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """The typed host must be of the kind of wood that was read; and it must be said how it was known."""
    if facts.host_group and facts.host_states and facts.host_group not in facts.host_states:
        told: dict[str, Value] = {
            "host": facts.host,
            "host_group": _in_words(facts.host_group),
            "wood": tuple(_in_words(one) for one in sorted(facts.host_states)),
        }
        yield table.flag("host_group_differs", told)
    if facts.host.strip() and not facts.host_known_by:
        yield table.flag("host_basis_missing", {"host": facts.host.strip()})


def decay_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """A class needs its scale, must be one of it, and the scale must be made for this wood."""
    given = facts.decay_class.strip()
    if not given:
        return
    scale = limits.decay_scales.get(facts.decay_scale)
    if scale is None:
        if not facts.decay_scale:
            told: dict[str, Value] = {"decay_class": given, "scales": len(limits.decay_scales)}
            yield table.flag("decay_scale_missing", told)
        return  # a scale of the club's own that is not in the file is not judged
    step = scale.classes.get(given)
    if step is None:
        told_class: dict[str, Value] = {
            "decay_class": given,
            "classes": tuple(scale.classes),
            "scale": say(scale.label),
        }
        yield table.flag("decay_class_unknown", told_class)
        return
    judged = facts.wood_states & _JUDGED
    if judged and not judged & scale.wood:
        yield table.flag(
            "decay_scale_wrong_wood",
            {
                "decay_class": given,
                "scale": say(scale.label),
                "made_for": tuple(_in_words(one) for one in sorted(scale.wood)),
                "wood": tuple(_in_words(one) for one in sorted(judged)),
            },
        )
        return  # the class means nothing for this wood, so nothing more can be said of it
    if not step.brackets_expected:
        yield table.flag("decay_class_before_brackets", {"decay_class": given, "scale": say(scale.label)})
    thin = step.least_diameter_cm
    if thin is not None and facts.diameter_cm is not None and facts.diameter_cm < thin:
        told_thin: dict[str, Value] = {
            "diameter_cm": facts.diameter_cm,
            "decay_class": given,
            "scale": say(scale.label),
            "least_cm": thin,
        }
        yield table.flag("decay_wood_too_thin", told_thin)


def _in_words(wood: str) -> str:
    """A kind or state of wood; its code is its label in small letters."""
    return lowered(wood.capitalize())
