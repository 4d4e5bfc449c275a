"""Where the mouths of the tubes are: dark basins with a light wall all round.

The patch is evened out, made so large that one pitch has 10 to 12 pixels, and rained on: every pixel drains to the
darkest neighbour until it stands in a basin (steepest descent; the watershed of mathematical morphology, from memory:
Meyer, Roerdink and Meijster). Two basins with hardly a wall between them are one mouth: they are joined from the lowest
pass upwards while the shallower is less than a share of a usual wall deep (persistence of minima).
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.float32]
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FINE = (10.0, 12.0)  # px per pitch in the working picture
_MOST_PIXELS = 2_500_000  # of the working picture; beyond, the middle of the patch is looked at
_RAMP = 1e-4  # per px: so that a plain area drains into one corner instead of being all basins


@dataclass(frozen=True, slots=True)
class Sieve:
    """How finely is looked: smoothing in pitches, and the share of a usual wall below which two basins are one."""

    smooth: float
    join: float


FINE = Sieve(0.08, 0.10)
COARSE = Sieve(0.14, 0.15)


@dataclass(frozen=True, slots=True)
class Mouths:
    """Mouths and what lies between them, in px of the working picture, which is `zoom` times the patch.

    `x`, `y`: centres of the basins; `area`: px of each basin; `aspect`: long axis over short one, from second moments;
    `lean`: direction of the long axis in radians; `floor`: darkest value; `reach`: how far the basin's pixels lie from
    its centre (root mean square). Walls, one row for each pair of neighbours: `one`, `other` (which mouths), `lowest`
    and `mean` height of the pass between them, `length` in px. Heights are in local standard deviations of the
    brightness. `usual` is the height of a usual wall above its mouths, `contrast` the same as the logarithm of a ratio of
    brightnesses; `joined` the share of basins that were joined to another.
    """

    zoom: float
    shape: tuple[int, int]
    offset: tuple[int, int]  # (x, y) px of the patch where the part that was looked at begins
    x: Floats
    y: Floats
    area: Floats
    aspect: Floats
    lean: Floats
    reach: Floats
    floor: Floats
    one: Ints
    other: Ints
    lowest: Floats
    mean: Floats
    length: Floats
    usual: float
    contrast: float
    joined: float


def working_scale(pitch: float) -> float:
    """How many times the patch is made larger or smaller for a pitch of so many px."""
    return min(max(pitch, _FINE[0]), _FINE[1]) / pitch


def find_mouths(grey: Grey, pitch: float, sieve: Sieve) -> Mouths | None:
    """The mouths of a patch (h, w) of logarithms of brightness, for a pitch in px. None: hardly any basin, or no relief."""
    zoom = working_scale(pitch)
    part, offset = _middle(grey, zoom)
    height, width = (max(8, round(side * zoom)) for side in part.shape)
    how = cv2.INTER_AREA if zoom < 1.0 else cv2.INTER_CUBIC
    picture = np.asarray(cv2.resize(part, (width, height), interpolation=how), dtype=np.float32)
    unit = pitch * zoom
    picture -= np.asarray(cv2.GaussianBlur(picture, (0, 0), 1.2 * unit), dtype=np.float32)
    spread = np.sqrt(np.asarray(cv2.GaussianBlur(picture * picture, (0, 0), 1.5 * unit), dtype=np.float32))
    middle_spread = float(np.median(spread))
    if middle_spread < 1e-4:
        return None
    picture /= spread + np.float32(0.05 * middle_spread)
    relief = np.asarray(cv2.GaussianBlur(picture, (0, 0), sieve.smooth * unit), dtype=np.float32)
    relief += np.float32(_RAMP) * (
        np.arange(height, dtype=np.float32)[:, None] + np.arange(width, dtype=np.float32)
    )
    basin, bottom = _rained(relief)
    many = len(bottom)
    if not 6 <= many <= relief.size / 8:
        return None
    floor = relief.ravel()[bottom].astype(np.float64)
    one, other, lowest, mean, length = _passes(relief, basin, many)
    if len(one) < 6:
        return None
    wall = np.sort(lowest - np.maximum(floor[one], floor[other]))
    usual = float(wall[len(wall) // 2 :].mean())
    mouth = _joined(floor, one, other, lowest, sieve.join * usual)
    kept = int(mouth.max()) + 1
    joined_floor = np.full(kept, np.inf)
    np.minimum.at(joined_floor, mouth, floor)
    x, y, area, aspect, lean, reach = _shapes(mouth[basin], kept)
    walls = _between(mouth[one], mouth[other], lowest, mean, length, kept)
    return Mouths(
        zoom,
        (height, width),
        offset,
        *(x, y, area, aspect, lean, reach, joined_floor),
        *walls,
        usual,
        usual * middle_spread,
        1.0 - kept / many,
    )


def _middle(grey: Grey, zoom: float) -> tuple[Grey, tuple[int, int]]:
    """The middle of a patch that would be too large to look at as a whole."""
    height, width = grey.shape
    too_many = height * width * zoom**2 / _MOST_PIXELS
    if too_many <= 1.0:
        return grey, (0, 0)
    side = math.sqrt(_MOST_PIXELS) / zoom
    keep_width = min(width, max(side, side * side / height))
    keep_height = min(height, side * side / keep_width)
    left, top = int((width - keep_width) / 2), int((height - keep_height) / 2)
    return grey[top : top + int(keep_height), left : left + int(keep_width)], (left, top)


def _rained(relief: Grey) -> tuple[Ints, Ints]:
    """Which basin each pixel drains to (h, w), and the pixel at each basin's bottom."""
    height, width = relief.shape
    edged = cv2.copyMakeBorder(relief, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=math.inf)
    lowest = relief.copy()
    here = np.arange(height * width, dtype=np.int32).reshape(height, width)
    to = here.copy()
    for down in (-1, 0, 1):
        for across in (-1, 0, 1):
            if down or across:
                beside = edged[1 + down : 1 + down + height, 1 + across : 1 + across + width]
                lower = beside < lowest
                np.copyto(lowest, beside, where=lower)
                np.copyto(to, here + np.int32(down * width + across), where=lower)
    flow = to.ravel()
    while True:
        further = flow[flow]
        if np.array_equal(further, flow):
            break
        flow = further
    bottom = np.flatnonzero(flow == here.ravel())
    number = np.zeros(height * width, dtype=np.int64)
    number[bottom] = np.arange(len(bottom))
    return number[flow].reshape(height, width), bottom


def _passes(relief: Grey, basin: Ints, many: int) -> tuple[Ints, Ints, Floats, Floats, Floats]:
    """Each pair of neighbouring basins with the lowest and the mean height of the pass and its length."""
    keys, heights = [], []
    for here, there, low, high in (
        (basin[:, :-1], basin[:, 1:], relief[:, :-1], relief[:, 1:]),
        (basin[:-1], basin[1:], relief[:-1], relief[1:]),
    ):
        border = here != there
        a, b = here[border], there[border]
        keys.append(np.minimum(a, b) * many + np.maximum(a, b))
        heights.append(np.maximum(low[border], high[border]))
    return _grouped(np.concatenate(keys), np.concatenate(heights).astype(np.float64), None, None, many)


def _grouped(
    key: Ints, lowest: Floats, mean: Floats | None, length: Floats | None, many: int
) -> tuple[Ints, Ints, Floats, Floats, Floats]:
    """Rows with the same key as one: lowest of the lowest, mean of the means by length, sum of the lengths."""
    order = np.argsort(key, kind="stable")
    key = key[order]
    first = (
        np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]]))
        if len(key)
        else np.zeros(0, dtype=np.int64)
    )
    if not len(first):
        nothing = np.zeros(0)
        return first, first, nothing, nothing, nothing
    weight = np.ones(len(key)) if length is None else length[order]
    height = (lowest if mean is None else mean)[order]
    total = np.add.reduceat(weight, first)
    pair = key[first]
    return (
        pair // many,
        pair % many,
        np.minimum.reduceat(lowest[order], first),
        np.add.reduceat(height * weight, first) / total,
        total,
    )


def _joined(floor: Floats, one: Ints, other: Ints, lowest: Floats, least: float) -> Ints:
    """For each basin the number of its mouth. A joined basin is never shallower than its parts, so pairs that begin
    with a wall of `least` or more never join and need no look."""
    parent = list(range(len(floor)))
    depth = floor.tolist()

    def top(k: int) -> int:
        while parent[k] != k:
            parent[k] = parent[parent[k]]
            k = parent[k]
        return k

    low = np.flatnonzero(lowest - np.maximum(floor[one], floor[other]) < least)
    for k in low[np.argsort(lowest[low])].tolist():
        a, b = top(int(one[k])), top(int(other[k]))
        if a != b and lowest[k] - max(depth[a], depth[b]) < least:
            if depth[a] > depth[b]:
                a, b = b, a
            parent[b] = a
    _, number = np.unique(np.array([top(k) for k in range(len(parent))]), return_inverse=True)
    return np.asarray(number, dtype=np.int64)


def _shapes(mouth: Ints, many: int) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
    """Centre, area, long over short axis, direction and reach of each basin, from the moments of its pixels."""
    flat = mouth.ravel()
    height, width = mouth.shape
    x = np.tile(np.arange(width, dtype=np.float64), height)
    y = np.repeat(np.arange(height, dtype=np.float64), width)
    area = np.bincount(flat, minlength=many).astype(np.float64)

    def mean(values: Floats) -> Floats:
        return np.bincount(flat, weights=values, minlength=many) / area

    cx, cy = mean(x), mean(y)
    # 1/12: the spread within one pixel
    xx, yy, xy = mean(x * x) - cx**2 + 1 / 12, mean(y * y) - cy**2 + 1 / 12, mean(x * y) - cx * cy
    apart = np.sqrt((xx - yy) ** 2 + 4 * xy**2)
    aspect = np.sqrt((xx + yy + apart) / np.maximum(xx + yy - apart, 1e-9))
    return cx, cy, area, aspect, 0.5 * np.arctan2(2 * xy, xx - yy), np.sqrt(xx + yy)


def _between(
    one: Ints, other: Ints, lowest: Floats, mean: Floats, length: Floats, many: int
) -> tuple[Ints, Ints, Floats, Floats, Floats]:
    """The walls between mouths, out of the passes between basins."""
    apart = one != other
    one, other = one[apart], other[apart]
    key = np.minimum(one, other) * many + np.maximum(one, other)
    return _grouped(key, lowest[apart], mean[apart], length[apart], many)
