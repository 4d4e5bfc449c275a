"""Draws undersides with pores of known count, as a phone's camera would show them; and undersides that have none.

Three kinds of pores (round, angular, unequal), five spoilers (torn, oblique, maze, bare, other) and one in between (frayed:
a part of the walls torn). Light gradient, lit tube walls, plugged mouths, glints, uneven focus, noise, debris, JPEG and
a little perspective left over. Every picture follows from its seed. Shares no code with the counter.
"""

from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.pore_camera import photographed
from tests.bench.pore_fields import field as pore_field
from tests.bench.pore_surfaces import SURFACES, Grey, cloud, round_mouths, turned, window

PORES = ("round", "angular", "unequal")
SPOILERS = ("torn", "oblique", "maze", "bare", "other")
BETWEEN = ("frayed",)


@dataclass(frozen=True)
class Wanted:
    """What to draw. `px_per_pore` is the picture's pixels per pitch, `across` how many pitches the patch is wide."""

    kind: str
    seed: int
    per_mm: float = 4.0
    px_per_pore: float = 16.0
    across: float = 25.0
    scale_error: float = 0.005  # relative standard uncertainty of the scale that the counter is told
    clean: bool = False  # no light, blur, noise, debris, perspective: black mouths on white walls


@dataclass(frozen=True)
class Picture:
    """A drawn patch with its truth. `centres` are (n, 2) px of the pores whose centre lies in the patch."""

    wanted: Wanted
    image: NDArray[np.uint8]
    per_mm: float  # square root of the pores per mm2 of the whole field; nan for spoilers
    px_per_mm: float  # as told: the true one with its error
    u_px_per_mm: float
    centres: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))


def picture(wanted: Wanted) -> Picture:
    """Draws one patch, square, `across` x `px_per_pore` pixels wide."""
    rng = np.random.default_rng([wanted.seed, (PORES + SPOILERS + BETWEEN).index(wanted.kind)])
    size = max(16, round(wanted.across * wanted.px_per_pore))
    over = max(1, int(np.ceil(14.0 / wanted.px_per_pore)))  # drawn finer, then made smaller
    fine = wanted.px_per_pore * over
    if wanted.kind in ("maze", "bare", "other"):
        depth = SURFACES[wanted.kind](rng, size * over, fine)
        centres = np.zeros((0, 2))
    else:
        depth, centres = _pored(wanted, rng, size * over, fine)
        centres = (centres + 0.5) / over - 0.5
    told = wanted.per_mm * wanted.px_per_pore * (1.0 + wanted.scale_error * rng.normal())
    if wanted.clean:
        image = np.where(depth > 0, 0, 255).astype(np.uint8)
        if over > 1:
            image = cv2.resize(image, (size, size), interpolation=cv2.INTER_AREA)
    else:
        image, centres = photographed(depth, centres, rng, fine, over, size)
    inside = ((centres >= 0) & (centres <= size - 1)).all(axis=1)
    truth = wanted.per_mm if wanted.kind in PORES + BETWEEN else float("nan")
    return Picture(wanted, image, truth, told, told * wanted.scale_error, centres[inside])


def _pored(wanted: Wanted, rng: np.random.Generator, size: int, pitch: float) -> tuple[Grey, Grey]:
    side = int(np.ceil(size / pitch * 1.3)) + 2
    spread = rng.uniform(0.18, 0.33) if wanted.kind == "unequal" else 0.0
    lie = pore_field(rng, side, unequal=spread, disorder=rng.uniform(0.0, 1.0))
    tiles = np.array([(x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)]) * side
    places = (lie.places[None] + tiles[:, None]).reshape(-1, 2) - side / 2
    sizes = np.tile(lie.sizes, len(tiles))
    turn = rng.uniform(0, 2 * np.pi)
    matrix = turned(turn)
    slant = np.eye(2)
    if wanted.kind == "oblique":
        stretch = rng.uniform(1.9, 3.5)
        lean = turned(rng.uniform(0, np.pi))
        slant = lean @ np.diag([np.sqrt(stretch), 1 / np.sqrt(stretch)]) @ lean.T
    spots = places @ (slant @ matrix).T * pitch + (size - 1) / 2
    near = (np.abs(spots - (size - 1) / 2) < size / 2 + 3 * pitch).all(axis=1)
    spots, sizes = spots[near], sizes[near]
    first, second, who, whom = _nearest_two(spots, sizes - 1.0, size, pitch, np.linalg.inv(slant))
    wall = rng.uniform(0.14, 0.28 if wanted.kind == "unequal" else 0.36)
    if wanted.kind == "round":
        depth = round_mouths(rng, spots, size, pitch, wall)
    else:
        depth = (second - first) / 2 - wall / 2
        if wanted.kind == "unequal":
            depth = np.minimum(depth, 0.52 - wall / 4 - first)  # rounder where there is room
    if wanted.kind in ("torn", "frayed"):
        gone = rng.uniform(0.35, 0.7) if wanted.kind == "torn" else rng.uniform(0.05, 0.2)
        depth = _torn(rng, depth, (who, whom), gone, wall, pitch)
    if not wanted.clean:
        plugged = rng.random(len(spots)) < rng.uniform(0.0, 0.012)
        depth = np.where(plugged[who], np.minimum(depth, rng.uniform(-0.1, 0.03)), depth)
    return depth, spots


def _nearest_two(
    spots: Grey, weights: Grey, size: int, pitch: float, unslant: Grey
) -> tuple[Grey, Grey, NDArray[np.int64], NDArray[np.int64]]:
    """For each pixel the distance (pitches, less the weight) to the nearest spot and to the second, and which."""
    first, second = np.full((size, size), 9.0), np.full((size, size), 9.0)
    who, whom = np.zeros((size, size), np.int64), np.zeros((size, size), np.int64)
    reach = 1.7 * pitch * max(1.0, float(np.linalg.norm(np.linalg.inv(unslant), 2)))
    for k, spot in enumerate(spots):
        found = window(spot, reach, size)
        if found is None:
            continue
        rows, columns, x, y = found
        far = np.hypot(unslant[0, 0] * x + unslant[0, 1] * y, unslant[1, 0] * x + unslant[1, 1] * y) / pitch
        far -= 0.4 * weights[k]
        a, b, i, j = (array[rows, columns] for array in (first, second, who, whom))
        nearest, between = far < a, (far >= a) & (far < b)
        b[nearest], j[nearest] = a[nearest], i[nearest]
        a[nearest], i[nearest] = far[nearest], k
        b[between], j[between] = far[between], k
    return first, second, who, whom


def _torn(
    rng: np.random.Generator,
    depth: Grey,
    nearest: tuple[NDArray[np.int64], NDArray[np.int64]],
    share: float,
    wall: float,
    pitch: float,
) -> Grey:
    """Walls broken between neighbours: most of a broken wall is gone, ragged stumps stay at the corners."""
    low, high = np.minimum(*nearest), np.maximum(*nearest)
    lot = ((low * 7919 + high * 104729 + 13) % 10007) / 10007.0
    ragged = cloud(rng, depth.shape[0], 0.35 * pitch) * 0.12
    gone = lot < share
    broken = depth + wall * rng.uniform(1.2, 2.2) + ragged
    return np.where(gone, broken, depth + 0.3 * ragged)
