"""Kinds of places, and which may stand in which. Pure."""

from collections.abc import Mapping

# Small boxes stand in boxes and trays; nothing else stands in its own kind. Every kind may stand alone as well: the store
# of many a club is one cupboard in somebody's house.
MAY_STAND_IN: Mapping[str, frozenset[str]] = {
    "room": frozenset(),
    "cabinet": frozenset({"room"}),
    "shelf": frozenset({"room", "cabinet"}),
    "box": frozenset({"room", "cabinet", "shelf", "box", "tray"}),
    "tray": frozenset({"room", "cabinet", "shelf", "box"}),
}


def within(start: int, parents: Mapping[int, int | None]) -> frozenset[int]:
    """Return *start* and everything inside it, however deep. `parents`: each place -> the one it stands in."""
    inside: dict[int, list[int]] = {}
    for place, parent in parents.items():
        if parent is not None:
            inside.setdefault(parent, []).append(place)
    found, waiting = {start}, [start]
    while waiting:
        more = [place for place in inside.get(waiting.pop(), ()) if place not in found]
        found.update(more)
        waiting += more
    return frozenset(found)


def way_up(place: int, parents: Mapping[int, int | None]) -> tuple[int, ...]:
    """Return the places from the outermost down to *place* itself. A circle in the rows, made by hand, ends it."""
    way: list[int] = []
    at: int | None = place
    while at is not None and at not in way:
        way.append(at)
        at = parents.get(at)
    return tuple(reversed(way))
