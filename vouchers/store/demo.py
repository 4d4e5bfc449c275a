"""The demo club's store: one cupboard, its packets in boxes in the order of their numbers, slides apart."""

from datetime import datetime

from ledger.people.models import Member
from vouchers.parts.models import Part
from vouchers.store.actions import make_places, move
from vouchers.store.models import PlaceKind

_PER_BOX = 12
# The newest still lie on the table: what has no place is told, and somebody will want to put it away.
_NOT_YET_PUT_AWAY = 4


def put_away(*, by: Member, now: datetime) -> None:
    """Make the places and lay in them what is there, but for the newest packets."""
    parts = list(Part.objects.there().order_by("voucher__year", "voucher__serial", "id"))
    packets = [part for part in parts if part.kind in ("packet", "duplicate")][:-_NOT_YET_PUT_AWAY]
    slides = [part for part in parts if part.kind == "slide"]
    tubes = [part for part in parts if part.kind == "tissue tube"]
    (room,) = make_places(PlaceKind.ROOM, "Club room", None)
    (cupboard,) = make_places(PlaceKind.CABINET, "Oak cupboard", room)
    shelves = make_places(PlaceKind.SHELF, "Shelf", cupboard, count=3)
    for number, first in enumerate(range(0, len(packets), _PER_BOX)):
        (box,) = make_places(
            PlaceKind.BOX, f"Box {number + 1}", shelves[0 if number < 3 else 1], capacity=_PER_BOX
        )
        move(
            packets[first : first + _PER_BOX],
            box,
            by=by,
            now=now,
            why="put away in the order of their numbers",
        )
    for name, small in (("Slides", slides), ("Tubes", tubes)):
        (box,) = make_places(PlaceKind.BOX, name, shelves[2], capacity=50)
        if small:
            move(small, box, by=by, now=now)
