"""Is there land near a position? Answered from a coarse map of the world's land, held as edges by longitude.

The map is TopoJSON of Natural Earth polygons (fixtures/land/README.md says which, and how coarse). Built once, in
about a tenth of a second; a question then touches only the edges near its own meridian and costs under a millisecond.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

Point = tuple[float, float]  # longitude, latitude: TopoJSON's order, kept inside this file only
Edge = tuple[float, float, float, float]

_BANDS_PER_DEGREE = 2
_BANDS = 360 * _BANDS_PER_DEGREE
# Metres per degree of latitude, near enough for a margin: a mean meridian of WGS 84 (from memory, 111.1 km).
_METRES_PER_DEGREE = 111_100.0


class LandMapError(ValueError):
    """The file is not a TopoJSON map with an object named `land`."""


@dataclass(frozen=True, slots=True)
class LandMap:
    """Edges of the land's outlines, each listed in every band of longitude it touches."""

    bands: tuple[tuple[Edge, ...], ...]

    @classmethod
    def from_topojson(cls, data: Mapping[str, Any]) -> "LandMap":
        """Read a TopoJSON topology (as of `json.load`) that holds an object `land`."""
        if data.get("type") != "Topology" or "land" not in data.get("objects", {}):
            raise LandMapError("This is not a TopoJSON topology with an object named 'land'.")
        arcs = [list(_arc(arc, data.get("transform"))) for arc in data["arcs"]]
        bands: list[list[Edge]] = [[] for _ in range(_BANDS)]
        for ring in _rings(data["objects"]["land"]):
            for (x1, y1), (x2, y2) in pairwise(_joined(ring, arcs)):
                # Outlines run across the seam at 180 degrees: an edge goes the shorter way round.
                start, step = (x1, _turn(x2 - x1)) if _turn(x2 - x1) >= 0 else (x2, _turn(x1 - x2))
                for band in range(_band(start), _band(start + step) + 1):
                    bands[band % _BANDS].append((x1, y1, x2, y2))
        return cls(tuple(tuple(band) for band in bands))

    def is_land(self, *, latitude: float, longitude: float) -> bool:
        """Whether the point lies inside an outline: its meridian crosses an odd number of edges on the way to the
        north pole, which lies in the sea. Going north, unlike going east, nothing happens at the seam.
        """
        inside = False
        for x1, y1, x2, y2 in self.bands[_band(longitude) % _BANDS]:
            west, east = _turn(x1 - longitude), _turn(x2 - longitude)
            if (west > 0) != (east > 0) and abs(west - east) < 180.0:
                crossing = y1 + west / (west - east) * (y2 - y1)
                if crossing > latitude:
                    inside = not inside
        return inside

    def is_near_land(self, *, latitude: float, longitude: float, margin_m: float) -> bool:
        """Whether land lies under the point or within the margin of it.

        Distances are measured on a plane that touches the globe at the point: right to a few parts in a thousand
        over the margins meant here (tens of kilometres), far better than the map.
        """
        if self.is_land(latitude=latitude, longitude=longitude):
            return True
        reach_deg = margin_m / _METRES_PER_DEGREE
        scale = math.cos(math.radians(latitude))
        reach_east_deg = min(reach_deg / scale, 180.0) if scale > 1e-6 else 180.0
        first, last = _band(longitude - reach_east_deg), _band(longitude + reach_east_deg)
        for band in range(first, min(last, first + _BANDS - 1) + 1):
            for x1, y1, x2, y2 in self.bands[band % _BANDS]:
                if min(y1, y2) - latitude > reach_deg or latitude - max(y1, y2) > reach_deg:
                    continue
                west = _turn(x1 - longitude)
                east = west + _turn(x2 - x1)
                if _distance_to_origin(west * scale, y1 - latitude, east * scale, y2 - latitude) <= reach_deg:
                    return True
        return False


def _band(longitude: float) -> int:
    return math.floor((longitude + 180.0) * _BANDS_PER_DEGREE)


def _turn(degrees: float) -> float:
    """A difference of longitudes as the shorter way round."""
    return (degrees + 180.0) % 360.0 - 180.0


def _distance_to_origin(x1: float, y1: float, x2: float, y2: float) -> float:
    dx, dy = x2 - x1, y2 - y1
    length_squared = dx * dx + dy * dy
    along = 0.0 if length_squared == 0 else min(1.0, max(0.0, -(x1 * dx + y1 * dy) / length_squared))
    return math.hypot(x1 + along * dx, y1 + along * dy)


def _arc(arc: list[list[float]], transform: Mapping[str, Any] | None) -> Iterator[Point]:
    """Points of an arc; with a transform each is the step from the one before, in units of the grid."""
    if transform is None:
        yield from ((point[0], point[1]) for point in arc)
        return
    (scale_x, scale_y), (start_x, start_y) = transform["scale"], transform["translate"]
    x = y = 0.0
    for step in arc:
        x, y = x + step[0], y + step[1]
        yield x * scale_x + start_x, y * scale_y + start_y


def _rings(geometry: Mapping[str, Any]) -> Iterator[list[int]]:
    if geometry["type"] == "GeometryCollection":
        for part in geometry["geometries"]:
            yield from _rings(part)
    elif geometry["type"] == "Polygon":
        yield from geometry["arcs"]
    elif geometry["type"] == "MultiPolygon":
        for polygon in geometry["arcs"]:
            yield from polygon


def _joined(ring: list[int], arcs: list[list[Point]]) -> list[Point]:
    """The arcs of a ring end to end; a negative number means the arc run backwards (~number)."""
    points: list[Point] = []
    for number in ring:
        part = arcs[number] if number >= 0 else arcs[~number][::-1]
        points.extend(part[1:] if points else part)
    return points
