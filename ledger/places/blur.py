"""Coarsened places: a point is replaced by the cell of a fixed net it lies in.

Never a random shift: the same place always gives the same cell, so that asking again tells nothing new (Chapman 2020,
Current Best Practices for Generalizing Sensitive Species Occurrence Data, v1.1). Coarsen on the way out, never in
the store.
"""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from ledger.places.distance import distance_m
from ledger.places.errors import PlaceError
from ledger.places.position import Position, check_latitude, check_longitude
from ledger.places.precision import degree_of_longitude_m
from ledger.places.text import metres_text

# Side of the cell in degrees by category of sensitivity: 1 extreme, 2 high, 3 medium, 4 low (Chapman 2020, table 7).
SIDE_DEG_BY_CATEGORY = {1: 1.0, 2: 0.1, 3: 0.01, 4: 0.001}
SIDES_DEG = tuple(SIDE_DEG_BY_CATEGORY.values())
_DECIMALS = {1.0: 0, 0.1: 1, 0.01: 2, 0.001: 3}


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of the net; degrees and metres. south and west are its corner, latitude and longitude its centre."""

    side_deg: float
    south: float
    west: float
    north: float
    east: float
    latitude: float
    longitude: float

    @property
    def height_m(self) -> float:
        """South to north along the meridian."""
        return distance_m(
            latitude=self.south, longitude=self.west, to_latitude=self.north, to_longitude=self.west
        )

    @property
    def width_m(self) -> float:
        """West to east along the parallel, at the wider of the two edges."""
        nearer_equator = min(abs(self.south), abs(self.north))
        return self.side_deg * degree_of_longitude_m(nearer_equator)

    @property
    def uncertainty_m(self) -> float:
        """From the centre to the farthest corner: half the diagonal."""
        return max(
            distance_m(
                latitude=self.latitude,
                longitude=self.longitude,
                to_latitude=latitude,
                to_longitude=self.west,
            )
            for latitude in (self.south, self.north)
        )

    def __str__(self) -> str:
        """Both edges, so that nobody takes the corner for the place."""
        decimals = _DECIMALS[self.side_deg]
        return (
            f"cell of {self.side_deg:g}°: latitude {self.south:.{decimals}f} to {self.north:.{decimals}f}, "
            f"longitude {self.west:.{decimals}f} to {self.east:.{decimals}f}"
        )


def coarsen(*, latitude: float, longitude: float, side_deg: float) -> Cell:
    """The cell of `side_deg` (1, 0.1, 0.01 or 0.001) that holds the point.

    A point on an edge belongs to the cell north and east of it; the pole to the last row; 180 E is 180 W.
    """
    check_latitude(latitude)
    check_longitude(longitude)
    if side_deg not in _DECIMALS:
        raise PlaceError(f"A cell is 1, 0.1, 0.01 or 0.001 degree wide; {side_deg!r} was asked for.")
    per_degree = 10 ** _DECIMALS[side_deg]
    row = min(_cells(latitude, per_degree), 90 * per_degree - 1)
    column = -180 * per_degree if longitude == 180 else _cells(longitude, per_degree)
    return Cell(
        side_deg=side_deg,
        south=row / per_degree,
        west=column / per_degree,
        north=(row + 1) / per_degree,
        east=(column + 1) / per_degree,
        latitude=(2 * row + 1) / (2 * per_degree),
        longitude=(2 * column + 1) / (2 * per_degree),
    )


def _cells(degrees: float, per_degree: int) -> int:
    """Cells from the origin, towards minus infinity. In decimals: 0.29 * 100 is 28.999999999999996 in binary."""
    return int((Decimal(repr(float(degrees))) * per_degree).to_integral_value(ROUND_FLOOR))


def blurred(position: Position, side_deg: float) -> Position:
    """The centre of the cell as a position that gives nothing else away: altitude and typed text are left out.

    The uncertainty is the cell's, or the position's own where that is larger. Blurring twice changes nothing.
    """
    cell = coarsen(latitude=position.latitude, longitude=position.longitude, side_deg=side_deg)
    return Position(
        latitude=cell.latitude,
        longitude=cell.longitude,
        datum=position.datum,
        uncertainty_m=max(cell.uncertainty_m, position.uncertainty_m or 0),
        source=f"coarsened to {side_deg:g} degree",
    )


def generalisation(cell: Cell) -> str:
    """The sentence that goes with a coarsened place (Darwin Core dataGeneralizations)."""
    return (
        f"Coordinates coarsened to the centre of a {cell.side_deg:g} degree cell "
        f"(within {metres_text(cell.uncertainty_m)}); a finer place is held."
    )
