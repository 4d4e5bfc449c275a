"""How far apart the pores of a patch may be: the ring in its spectrum.

Pores in no particular direction, all about as far from one another, make a ring in the power spectrum. In a net of
triangles its radius is 2 / (sqrt(3) s) for centres s apart (the reciprocal lattice), which is 1.0746 per pitch, where one
pitch is the side of a square with as much room as one pore. The ring alone is good to 10 % and debris can make a
stronger one, so it only proposes; `pore_mouths.py` and `pore_evidence.py` decide.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.float32]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_RING = 2.0 / math.sqrt(3.0) * math.sqrt(math.sqrt(3.0) / 2.0)  # waves per pitch: 1.0746
_SIDE = 768  # px: the largest square that is transformed
_STEP = 0.05  # width of a ring, as the natural logarithm of its radius
_BROAD = 12  # rings on each side that make the level from which a peak stands out
_MOST = 3  # proposals


@dataclass(frozen=True, slots=True)
class Proposal:
    """A pitch in px; how many times the ring of that radius stands above its neighbourhood; and how much it leans: 0 for a
    ring as strong all round, 1 for stripes."""

    pitch: float
    height: float
    lean: float


def likely_pitches(grey: Grey, finest: float, coarsest: float) -> list[Proposal]:
    """At most three pitches in px between `finest` and `coarsest`, the most prominent first.

    `grey` is (h, w), logarithms of brightness. The middle is looked at in full, the whole made smaller, so that time
    and memory do not grow with the patch.
    """
    height, width = grey.shape
    top, left = max(0, (height - _SIDE) // 2), max(0, (width - _SIDE) // 2)
    found = _peaks(grey[top : top + _SIDE, left : left + _SIDE], finest, coarsest)
    shrink = _SIDE / max(height, width)
    if shrink < 1.0:
        size = (max(8, round(width * shrink)), max(8, round(height * shrink)))
        whole = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.float32)
        found += [
            Proposal(p.pitch / shrink, p.height, p.lean)
            for p in _peaks(whole, finest * shrink, coarsest * shrink)
        ]
    found.sort(key=lambda p: -p.height)
    kept: list[Proposal] = []
    for one in found:
        if all(abs(math.log(one.pitch / other.pitch)) > 0.15 for other in kept):
            kept.append(one)
    return kept[:_MOST]


def _peaks(grey: Grey, finest: float, coarsest: float) -> list[Proposal]:
    height, width = grey.shape
    coarsest = min(coarsest, min(height, width) / 4.0)
    finest = max(finest, 2.6)
    if coarsest <= finest:
        return []
    flat = grey - _broadly(grey)
    window = np.outer(np.hanning(height), np.hanning(width)).astype(np.float32)
    power = np.abs(np.fft.rfft2(flat * window)) ** 2
    down = np.asarray(np.fft.fftfreq(height)[:, None], dtype=np.float64)
    across = np.asarray(np.fft.rfftfreq(width)[None], dtype=np.float64)
    radius = np.hypot(down, across)
    margin = 4 * _STEP
    edges = np.exp(
        np.arange(math.log(_RING / coarsest) - margin, math.log(min(0.5, _RING / finest)) + margin, _STEP)
    )
    ring = np.digitize(radius.ravel(), edges)
    many = np.bincount(ring, minlength=len(edges) + 1)[1:-1]
    total = np.bincount(ring, weights=power.ravel(), minlength=len(edges) + 1)[1:-1]
    lean = _lean(power, down, across, ring, len(edges) + 1)[1:-1]
    middle = np.sqrt(edges[1:] * edges[:-1])
    seen = (many > 0) & (total > 0)
    if seen.sum() < 5:
        return []
    middle, lean = middle[seen], lean[seen]
    level = (
        total[seen] / many[seen] * middle**2
    )  # times the radius squared: the 1/f of any surface becomes flat
    level = np.convolve(np.pad(level, 1, mode="edge"), (0.25, 0.5, 0.25), "valid")
    logs = np.log(level)
    broad = np.convolve(
        np.pad(logs, _BROAD, mode="edge"), np.full(2 * _BROAD + 1, 1.0 / (2 * _BROAD + 1)), "valid"
    )
    out = np.exp(logs - broad)
    at = [k for k in range(1, len(level) - 1) if level[k] >= level[k - 1] and level[k] > level[k + 1]]
    return [Proposal(_RING / float(middle[k]), float(out[k]), float(lean[k])) for k in at]


def _lean(power: Floats, down: Floats, across: Floats, ring: Ints, many: int) -> Floats:
    """Length of the mean of exp(2i direction) over each ring, weighted with the power (0 all round, 1 one way)."""
    square = down**2 + across**2
    square[0, 0] = 1.0
    even = (power * (across**2 - down**2) / square).ravel()
    odd = (power * (2.0 * across * down) / square).ravel()
    sums = [np.bincount(ring, weights=values, minlength=many) for values in (even, odd, power.ravel())]
    return np.asarray(np.hypot(sums[0], sums[1]) / np.maximum(sums[2], 1e-30))


def _broadly(grey: Grey) -> Grey:
    """The light as it runs over the patch: blurred by a sixth of its side, on a small copy, which is fifty times faster."""
    height, width = grey.shape
    small = min(1.0, 48.0 / min(height, width))
    size = (max(8, round(width * small)), max(8, round(height * small)))
    copy = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    copy = cv2.GaussianBlur(copy, (0, 0), min(size) / 6.0)
    return np.asarray(cv2.resize(copy, (width, height), interpolation=cv2.INTER_LINEAR), dtype=np.float32)
