"""A typed place said back to whoever typed it."""

from ledger.places.position import Position
from ledger.places.text import decimal_text, dms_text, metres_text

# Digits that leave less than this open need no word: no phone in a wood is better.
_WORTH_SAYING_M = 30.0


def place_words(place: Position | None) -> dict[str, str]:
    """The place in two ways of writing it, and how far its digits leave it open where that is worth saying."""
    if place is None:
        return {}
    least = place.least_uncertainty_m
    digits = f"± {metres_text(least)}" if least is not None and least > _WORTH_SAYING_M else ""
    datum = f" ({place.datum})" if place.datum != "WGS84" else ""
    return {"decimal": decimal_text(place) + datum, "dms": dms_text(place), "digits": digits}
