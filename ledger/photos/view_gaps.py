"""The views that a find of its kind should have and has not yet, told before the specimen is picked.

static/js/log/view_gaps.js says the same on the phone. Common practice of the trade, no source: cap, underside, side, cut,
the wood in place, and a scale in one of them (`view_table.py` for what each is).
"""

from collections.abc import Collection

from ledger.photos.view_table import view_words
from ledger.words import Said, say, together

# Growth without a cap has no view of one, and nothing of it stands off the wood.
_CAPLESS = frozenset({"resupinate"})
# Undersides that are counted: the scale belongs beside the pores, in their plane.
_COUNTED = frozenset({"pores", "maze"})
_OF_A_CAP = frozenset({"cap", "side"})
_ORDER = ("cap", "underside", "side", "cut", "place")


def missing_views(
    views: Collection[str], *, habits: Collection[str], undersides: Collection[str], has_scale: bool = False
) -> tuple[str, ...]:
    """What is still to be photographed, in the words of the chips and in the order hands do it.

    `views`: codes of the photos there are. `habits` and `undersides`: what was read, or else what is documented for the
    named taxon; empty where neither is known. `has_scale`: a scale card was found on one of the photos.
    """
    spared = _OF_A_CAP if habits and _CAPLESS.issuperset(habits) else frozenset()
    missing = [view_words(code) for code in _ORDER if code not in spared and code not in views]
    if not has_scale and "scale" not in views:
        is_counted = bool(undersides) and _COUNTED.issuperset(undersides)
        missing.append(say("scale by the pores") if is_counted else view_words("scale"))
    return tuple(missing)


def missing_says(missing: Collection[str], *, is_amended: bool) -> Said:
    """The one line near the photos. Of a find that is amended nobody knows whether it still stands in the wood."""
    if not missing:
        return say("Every view is there.")
    views = together(tuple(missing), ", ")
    if is_amended:
        return say("Not photographed: {views}.", views=views)
    return say("Before you pick it, still to photograph: {views}.", views=views)
