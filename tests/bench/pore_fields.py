"""Where drawn pores lie: points on a square whose edges join, pushed apart until they sit like pores.

Lengths are in pitches: one pitch is the side of a square with as much room as one pore, so the density is 1 by
construction and the truth needs no counting. Shares no code with the counter.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_SLOTS = 7  # most points that one cell of the search grid holds


@dataclass(frozen=True)
class Field:
    """`places` (n, 2) in pitches on a square of `side` with joined edges, n = side^2; `sizes` (n,) around 1."""

    places: NDArray[np.float64]
    sizes: NDArray[np.float64]
    side: int


def _cells(places: NDArray[np.float64], side: int) -> NDArray[np.int64]:
    """(side, side, slots): which points lie in each cell of one pitch; -1 where a slot is empty."""
    at = np.minimum(places.astype(np.int64), side - 1)
    flat = at[:, 1] * side + at[:, 0]
    order = np.argsort(flat, kind="stable")
    sorted_flat = flat[order]
    slot = np.arange(len(flat)) - np.searchsorted(sorted_flat, sorted_flat)
    kept = slot < _SLOTS
    cells = np.full((side * side, _SLOTS), -1, dtype=np.int64)
    cells[sorted_flat[kept], slot[kept]] = order[kept]
    return cells.reshape(side, side, _SLOTS)


def _push(
    places: NDArray[np.float64], sizes: NDArray[np.float64], side: int, step: float
) -> NDArray[np.float64]:
    """One step of soft discs pushing each other apart."""
    cells = _cells(places, side)
    moves = np.zeros_like(places)
    here = cells[:, :, :, None]
    for across, down in ((0, 0), (1, 0), (-1, 1), (0, 1), (1, 1)):  # each pair of cells once
        there = np.roll(cells, (-down, -across), axis=(0, 1))[:, :, None, :]
        both = (here >= 0) & (there >= 0)
        both = both & (here < there) if (across, down) == (0, 0) else both
        row, column, slot, other_slot = np.nonzero(both)
        one, other = cells[row, column, slot], there[row, column, 0, other_slot]
        apart = places[one] - places[other]
        apart -= side * np.round(apart / side)
        distance = np.hypot(apart[:, 0], apart[:, 1]) + 1e-9
        push = step * np.clip(0.6 * (sizes[one] + sizes[other]) - distance, 0.0, None) / distance
        for axis in (0, 1):
            moves[:, axis] += np.bincount(one, push * apart[:, axis], len(places))
            moves[:, axis] -= np.bincount(other, push * apart[:, axis], len(places))
    return (places + moves) % side


def field(rng: np.random.Generator, side: int, *, unequal: float = 0.0, disorder: float = 0.3) -> Field:
    """`side`^2 pores. `unequal` is the spread of the sizes (standard deviation of their logarithm); `disorder` runs
    from 0, as even as a net, to 1."""
    grid = np.stack(np.meshgrid(np.arange(side), np.arange(side)), axis=-1).reshape(-1, 2) + 0.5
    places = (grid + rng.normal(0.0, 0.6, grid.shape)) % side
    sizes = np.exp(rng.normal(0.0, unequal, len(places))) if unequal else np.ones(len(places))
    sizes = np.clip(sizes, 0.5, 1.7)
    sizes /= np.sqrt((sizes**2).mean())
    for _ in range(round(12 + 50 * (1.0 - disorder))):
        places = _push(places, sizes, side, 0.3)
    places = (places + rng.normal(0.0, 0.09 * disorder, places.shape)) % side
    return Field(places, sizes, side)
