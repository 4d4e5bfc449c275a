"""Other readings of a position that lies where nobody expected it: numbers swapped, a sign lost or too many."""

from collections.abc import Iterator
from dataclasses import replace

from ledger.places.distance import distance_m
from ledger.places.position import Position


def readings_within(
    position: Position, *, latitude: float, longitude: float, radius_m: float
) -> tuple[Position, ...]:
    """The readings of these two numbers that lie in the circle, those with the fewest changes only.

    One change: the numbers swapped, or one sign turned. Nothing is chosen here: whoever typed it is asked.
    """
    for readings in (_once(position), _twice(position)):
        found: dict[tuple[float, float], Position] = {}
        for one in readings:
            away_m = distance_m(
                latitude=one.latitude, longitude=one.longitude, to_latitude=latitude, to_longitude=longitude
            )
            if away_m <= radius_m:
                found.setdefault((one.latitude, one.longitude), one)
        if found:
            return tuple(found.values())
    return ()


def _at(position: Position, latitude: float, longitude: float) -> Iterator[Position]:
    if abs(latitude) <= 90 and (latitude, longitude) != (position.latitude, position.longitude):
        yield replace(position, latitude=latitude, longitude=longitude)


def _once(position: Position) -> Iterator[Position]:
    north, east = position.latitude, position.longitude
    yield from _at(position, north, -east)
    yield from _at(position, -north, east)
    yield from _at(position, east, north)


def _twice(position: Position) -> Iterator[Position]:
    north, east = position.latitude, position.longitude
    yield from _at(position, -north, -east)
    yield from _at(position, -east, north)
    yield from _at(position, east, -north)
    yield from _at(position, -east, -north)
