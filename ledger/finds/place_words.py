"""A typed place said back to whoever typed it."""

from typing import Any

from ledger.club.queries import the_club
from ledger.finds.assess import limits_of
from ledger.places.near import readings_within
from ledger.places.position import Position
from ledger.places.text import decimal_text, dms_text, metres_text, signed_text
from ledger.record.facts import Limits
from ledger.record.place_checks import outside_area_m
from ledger.record.wording import metres

# Digits that leave less than this open need no word: no phone in a wood is better.
_WORTH_SAYING_M = 30.0


def place_words(place: Position | None) -> dict[str, Any]:
    """The place in two ways of writing it, and how far its digits leave it open where that is worth saying.

    `far`: how far it lies from the middle of the club's area, empty if it is inside; `meant`: readings of the same
    numbers that lie inside, as they would be typed. They are shown and never taken by themselves.
    """
    if place is None:
        return {}
    least = place.least_uncertainty_m
    digits = f"± {metres_text(least)}" if least is not None and least > _WORTH_SAYING_M else ""
    datum = f" ({place.datum})" if place.datum != "WGS84" else ""
    said = {"decimal": decimal_text(place) + datum, "dms": dms_text(place), "digits": digits}
    return said | _far(place, limits_of(the_club()))


def _far(place: Position, limits: Limits) -> dict[str, Any]:
    away_m = outside_area_m(
        latitude=place.latitude, longitude=place.longitude, uncertainty_m=place.uncertainty_m, limits=limits
    )
    if away_m is None or limits.area is None:
        return {"far": "", "meant": ()}
    area = limits.area
    meant = readings_within(place, latitude=area.latitude, longitude=area.longitude, radius_m=area.radius_m)
    return {"far": metres(away_m), "meant": tuple(signed_text(one) for one in meant)}
