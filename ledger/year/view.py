"""What part of the earth a map shows, and on which net its finds are counted there. Pure.

Drawn in the spherical Mercator of EPSG 3857, as tiles are: 256 px round the earth at zoom 0, twice as many with each step.
"""

import math
from dataclasses import dataclass

from ledger.year.cells import SIDES_DEG, columns_across

MOST_NORTH = 85.0
LEAST_ZOOM, MOST_ZOOM = 1.0, 18.0
# A cell is drawn at least so wide.
LEAST_CELL_PX = 16.0
# Wider than any screen at the net it asks for: who asks for more gets less of it.
_MOST_CELLS_ACROSS = 160


@dataclass(frozen=True, slots=True)
class View:
    """Edges in degrees; never across 180 degrees."""

    south: float
    west: float
    north: float
    east: float
    zoom: float

    @property
    def net(self) -> int:
        """The finest net whose cells are still wide enough, as its place in SIDES_DEG.

        >>> [View(50, -5, 52, 0, zoom).net for zoom in (3, 6, 9, 12, 18)]
        [0, 1, 2, 3, 3]
        """
        px_per_degree = 256 * 2**self.zoom / 360
        return max(
            (net for net, side in enumerate(SIDES_DEG) if side * px_per_degree >= LEAST_CELL_PX), default=0
        )

    def rows(self, side: int) -> tuple[int, int]:
        """First and last row of cells of that side that touch the view."""
        most = round(180 / SIDES_DEG[side]) - 1
        return (
            min(max(_cells(self.south + 90, side), 0), most),
            min(max(_cells(self.north + 90, side), 0), most),
        )

    def columns(self, side: int) -> tuple[int, int]:
        """First and last column, counted from 180 west."""
        most = columns_across(side) - 1
        return (
            min(max(_cells(self.west + 180, side), 0), most),
            min(max(_cells(self.east + 180, side), 0), most),
        )

    def holds(self, latitude: float, longitude: float) -> bool:
        return self.south <= latitude <= self.north and self.west <= longitude <= self.east


def view_of(south: float, west: float, north: float, east: float, zoom: float) -> View:
    """The view within what a map can show; ValueError where the edges are none."""
    if not all(map(math.isfinite, (south, west, north, east, zoom))):
        raise ValueError("The edges of the map are no numbers.")
    south, north = max(south, -90.0), min(north, 90.0)
    west, east = max(west, -180.0), min(east, 180.0)
    if south >= north or west >= east:
        raise ValueError("The edges of the map are the wrong way round.")
    zoom = min(max(zoom, LEAST_ZOOM), MOST_ZOOM)
    view = View(south, west, north, east, zoom)
    across = (east - west) / SIDES_DEG[view.net]
    while across > _MOST_CELLS_ACROSS and view.net:
        zoom -= 1
        view = View(south, west, north, east, max(zoom, LEAST_ZOOM))
        across = (east - west) / SIDES_DEG[view.net]
    return view


def zoom_for(south: float, west: float, north: float, east: float, *, px: float = 700) -> float:
    """The zoom at which these edges fill a map of `px` by three quarters of it, in quarter steps."""
    across = max(east - west, 1e-4) / 360
    up = max(_up(north) - _up(south), 1e-6)
    zoom = min(math.log2(px / 256 / across), math.log2(px * 0.7 / 256 / up))
    return min(max(math.floor(zoom * 4) / 4, LEAST_ZOOM), 15.0)


def _up(latitude: float) -> float:
    """How far north, as a share of the world's width."""
    radians = math.radians(min(max(latitude, -MOST_NORTH), MOST_NORTH))
    return math.asinh(math.tan(radians)) / (2 * math.pi)


def _cells(degrees: float, side: int) -> int:
    return math.floor(round(degrees / SIDES_DEG[side], 9))
