"""Nets of the map: how large the cell is in which a find is counted and drawn at each of them. Pure.

A find whose place is kept back is counted in the cell it is told by, wherever that is larger than the cell of the net: so
it is drawn as that area and never as a point, and no net tells more of it than another.
"""

from collections.abc import Iterator
from dataclasses import dataclass

# Sides in degrees, the coarsest first; the place in this row is how a side is written in a count.
SIDES_DEG = (10.0, 1.0, 0.1, 0.01)
COLUMNS = ("cell_10", "cell_1", "cell_01", "cell_001")
# In the place of a taxon, a year: every one of them; and a find without one.
ALL, NONE = 0, -1


@dataclass(frozen=True, slots=True)
class Counted:
    """What of a find is counted. `cells` are those of its open place by SIDES_DEG; None: it is on no map."""

    taxon: int
    year: int
    week: int
    step_deg: float | None
    cells: tuple[int, int, int, int] | None


def side_drawn(net: int, step_deg: float | None) -> int:
    """The side of the cell, as its place in SIDES_DEG, in which a find is drawn on that net.

    >>> side_drawn(3, None), side_drawn(3, 0.1), side_drawn(0, 0.1), side_drawn(3, 0.001)
    (3, 2, 0, 3)
    """
    if step_deg is None:
        return net
    return min(net, next((side for side in (1, 2) if step_deg > SIDES_DEG[side] / 2), 3))


def map_keys(found: Counted) -> Iterator[tuple[int, int, int, int, int]]:
    """Net, taxon, year, side, cell: every count this find adds to, those of all taxa and all years included."""
    if found.cells is None:
        return
    for net in range(len(SIDES_DEG)):
        side = side_drawn(net, found.step_deg)
        for taxon in (found.taxon, ALL):
            for year in (found.year, ALL):
                yield net, taxon, year, side, found.cells[side]


def season_keys(found: Counted) -> Iterator[tuple[int, int, int]]:
    """Year, taxon, week; week is NONE for a find without a day."""
    for taxon in (found.taxon, ALL):
        for year in (found.year, ALL):
            yield year, taxon, found.week


def columns_across(side: int) -> int:
    """How many cells of that side lie around the earth."""
    return round(360 / SIDES_DEG[side])
