"""What the form shows of a find's place to whoever may amend it, and what comes back of it untouched."""

from collections.abc import Mapping
from typing import Any

from ledger.finds.models import Find
from ledger.places.parse import parse_position


def boxed_place(find: Find) -> str:
    """What stands in the form's box of the place: as it was typed, else in degrees, to a tenth of a metre."""
    if find.position_typed or find.latitude is None or find.longitude is None:
        return find.position_typed
    return f"{find.latitude:.6f}, {find.longitude:.6f}"


def place_left_alone(find: Find, record: Mapping[str, Any]) -> frozenset[str]:
    """The columns of a place that nobody had typed, whose digits the form showed and got back: they hold more than those."""
    shown = boxed_place(find)
    if find.position_typed or not shown or record.get("position_typed") != shown:
        return frozenset()
    alone = {"latitude", "longitude", "position_typed"}
    if find.uncertainty_m is None and record.get("uncertainty_m") == parse_position(shown).uncertainty_m:
        alone.add("uncertainty_m")
    return frozenset(alone)
