"""What scale cards are laid on: drawn grounds in mm, and pictures without any card."""

import math
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

Light = NDArray[np.float32]
GROUNDS = ("wood", "moss", "litter", "cloth", "paper", "stone")
_SIDE, _PX_PER_MM = 2048, 6.0


def ground(
    name: str, homography: NDArray[np.float64], size: tuple[int, int], rng: np.random.Generator
) -> Light:
    """The ground as the camera sees it, as reflected light: the drawn one, mirrored without end, shifted at random."""
    x, y = rng.uniform(0, _SIDE, 2)
    to_dots = np.array([[_PX_PER_MM, 0, x], [0, _PX_PER_MM, y], [0, 0, 1]])
    # Drawn at half the size: details finer than two pixels would be blurred away in any case.
    half = np.diag([0.5, 0.5, 1.0])
    seen = cv2.warpPerspective(
        _drawn(name),
        to_dots @ np.linalg.inv(half @ homography),
        (size[0] // 2, size[1] // 2),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REFLECT_101,
    )
    return np.asarray(cv2.resize(seen, size, interpolation=cv2.INTER_LINEAR))


@cache
def _drawn(name: str) -> Light:
    rng = np.random.default_rng(sum(map(ord, name)))
    made: Light = {
        "wood": _wood,
        "moss": _moss,
        "litter": _litter,
        "cloth": _cloth,
        "paper": _paper,
        "stone": _stone,
    }[name](rng)
    return np.clip(made, 0.02, 0.95).astype(np.float32)


def _octaves(rng: np.random.Generator, stretch: float = 1.0, fall: float = 0.6) -> Light:
    """Noise of many sizes, about 0 with a standard deviation of 1."""
    whole = np.zeros((_SIDE, _SIDE), np.float32)
    for octave in range(2, 10):
        many = 2**octave
        coarse = rng.standard_normal((max(2, int(many / stretch)), many)).astype(np.float32)
        whole += fall**octave * cv2.resize(coarse, (_SIDE, _SIDE), interpolation=cv2.INTER_CUBIC)
    return np.asarray((whole - whole.mean()) / whole.std())


def _wood(rng: np.random.Generator) -> Light:
    rings = _octaves(rng, stretch=24.0, fall=0.8)
    return np.asarray(0.28 + 0.09 * rings + 0.05 * np.sin(6 * rings))


def _moss(rng: np.random.Generator) -> Light:
    return np.asarray(0.12 * np.exp(0.7 * _octaves(rng, fall=0.95)))


def _stone(rng: np.random.Generator) -> Light:
    return np.asarray(0.35 + 0.10 * _octaves(rng, fall=0.7))


def _litter(rng: np.random.Generator) -> Light:
    """Leaves: dark and light shapes with corners, on top of each other."""
    whole = np.full((_SIDE, _SIDE), 0.1, np.float32)
    for _ in range(1500):
        middle, size = rng.uniform(0, _SIDE, 2), rng.uniform(20, 160)
        angles = np.sort(rng.uniform(0, 2 * math.pi, rng.integers(3, 9)))
        far = size * rng.uniform(0.5, 1.0, len(angles))
        shape = middle + np.column_stack([far * np.cos(angles), far * np.sin(angles)])
        cv2.fillPoly(whole, [shape.astype(np.int32)], float(rng.uniform(0.05, 0.6)))
    return np.asarray(whole * np.exp(0.15 * _octaves(rng)))


def _cloth(rng: np.random.Generator) -> Light:
    """A chequered cloth: squares on squares."""
    at = np.arange(_SIDE)
    stripes = sum(0.5 * ((at // width) % 2) for width in (8, 64, 128))
    return np.asarray(0.1 + 0.12 * (stripes[:, None] + stripes[None, :]) + 0.02 * _octaves(rng))


def _paper(rng: np.random.Generator) -> Light:
    """A printed page with lines of writing and boxes."""
    page = np.full((_SIDE, _SIDE), 217, np.uint8)
    for y in range(30, _SIDE, 44):
        words = "".join(rng.choice(list("abcdefgh ijklmnop qrstuvw 0123456789"), 70))
        cv2.putText(page, words, (20, y), cv2.FONT_HERSHEY_SIMPLEX, 1.0, 12, 2, cv2.LINE_AA)
    for _ in range(60):
        x, y, w = *rng.integers(0, _SIDE - 90, 2).tolist(), int(rng.integers(20, 90))
        cv2.rectangle(
            page, (x, y), (x + w, y + w), int(rng.integers(5, 120)), -1 if rng.random() < 0.5 else 3
        )
    return np.asarray(page.astype(np.float32) / 255 + 0.01 * _octaves(rng))
