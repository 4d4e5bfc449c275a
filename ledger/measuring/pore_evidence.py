"""What speaks for pores and what against: the figures on which a count is accepted or refused.

Pores are closed (a wall towards each neighbour), about as long as wide, in no common direction, of one order of size, and
seen alike by a fine and a coarse look. Torn ones run together; those of a maze wind; oblique ones lean one way.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.pore_mouths import Floats, Mouths

Against = Literal["", "plain", "oblique", "unclosed", "unlike"]

GUARD = 1.2  # pitches: pores nearer to the edge of the patch are not counted, they may be cut

# Bounds. Chosen on the tuning seeds of the bench between what drawn pores and drawn spoilers show.
LEAST_PORES = 12
_LEAST_CONTRAST = 0.02  # a wall 2 % lighter than its mouth
_MOST_JOINED = 0.5  # share of basins that had no wall of their own
_MOST_OPEN = 0.035  # share of neighbours with an opening between them
_MOST_LONG = 1.58  # long axis over short one: nine in ten mouths are rounder
_MOST_LEANING = 1.38  # the same, the middle one
_MOST_STRANGE = 0.2  # share of the room taken by what is no mouth
_MOST_APART = 0.09  # fine and coarse look, as the logarithm of pores per mm

_SHALLOW = 0.25  # of a usual wall: what is shallower is no mouth
_WIDE = 0.75  # pitches: what reaches further than this (root mean square) is no mouth
_LONG = 2.3
_OPENING = 0.35  # of the depth of the shallower mouth: a wall that is so low somewhere is open there
_SHORT_PASS = 0.25  # pitches: where two mouths meet at a corner only, they are no neighbours


@dataclass(frozen=True, slots=True)
class Evidence:
    """`n` whole mouths with their centre in the inner window take up `area` px of the working picture.

    `pitch` px of the patch; `spread` relative standard deviation of the mouths' room; `small` the tenth percentile of
    their widths over the mean; `aspect`, `aspect_90`, `leaning` (0 no common direction, 1 all one way), `open`, `joined`,
    `strange`, `contrast`: see the bounds.
    """

    n: int
    pitch: float
    spread: float
    small: float
    aspect: float
    aspect_90: float
    leaning: float
    open: float
    joined: float
    strange: float
    contrast: float
    whole: NDArray[np.bool_]


def weigh(mouths: Mouths, pitch: float) -> Evidence | None:
    """The evidence of the mouths found for a pitch in px of the patch; None where nothing is whole."""
    unit = pitch * mouths.zoom
    height, width = mouths.shape
    guard = GUARD * unit
    inner = (
        (mouths.x > guard)
        & (mouths.x < width - 1 - guard)
        & (mouths.y > guard)
        & (mouths.y < height - 1 - guard)
    )
    if inner.sum() < 4:
        return None
    depth = _depth(mouths)
    middle = float(np.median(depth[inner]))
    fit = (depth > _SHALLOW * middle) & (mouths.reach < _WIDE * unit) & (mouths.aspect < _LONG)
    whole = inner & fit
    n = int(whole.sum())
    if n < 4:
        return None
    area = mouths.area[whole]
    near = (inner[mouths.one] | inner[mouths.other]) & (mouths.length > _SHORT_PASS * unit)
    open_share = 1.0
    if near.sum():
        one, other = mouths.one[near], mouths.other[near]
        one_is_shallower = mouths.floor[one] > mouths.floor[other]
        shallower = np.where(one_is_shallower, one, other)
        wall = mouths.lowest[near] - mouths.floor[shallower]
        open_share = float(np.mean(wall < _OPENING * depth[shallower]))
    stretch = mouths.aspect[inner] - 1.0
    leaning = abs(np.sum(stretch * np.exp(2j * mouths.lean[inner]))) / (np.sum(stretch) + 1e-9)
    room = np.sqrt(area / area.mean())
    return Evidence(
        n,
        math.sqrt(float(area.mean())) / mouths.zoom,
        float(area.std() / area.mean()),
        float(np.percentile(room, 10)),
        float(np.median(mouths.aspect[inner])),
        float(np.percentile(mouths.aspect[inner], 90)),
        float(leaning),
        open_share,
        mouths.joined,
        float(mouths.area[inner & ~fit].sum() / mouths.area[inner].sum()),
        mouths.contrast,
        whole,
    )


def _depth(mouths: Mouths) -> Floats:
    """How deep each mouth lies below its walls, on average along its rim."""
    many = len(mouths.x)
    rim, height = np.zeros(many), np.zeros(many)
    for side in (mouths.one, mouths.other):
        rim += np.bincount(side, weights=mouths.length, minlength=many)
        height += np.bincount(side, weights=mouths.length * mouths.mean, minlength=many)
    return np.asarray(height / np.maximum(rim, 1e-9) - mouths.floor)


def against(evidence: Evidence, apart: float) -> Against:
    """What speaks most against whole pores: "" when nothing does, else "plain", "oblique", "unclosed" or "unlike".

    `apart`: how far the coarse look is from the fine one, as the logarithm of the pores per mm.
    """
    if evidence.contrast < _LEAST_CONTRAST or evidence.joined > 0.75:
        return "plain"
    long_way = evidence.aspect > _MOST_LEANING or evidence.aspect_90 > _MOST_LONG
    if long_way and evidence.leaning > 0.6:
        return "oblique"
    if long_way or evidence.open > _MOST_OPEN or evidence.joined > _MOST_JOINED:
        return "unclosed"
    if evidence.strange > _MOST_STRANGE or abs(apart) > _MOST_APART:
        return "unlike"
    return ""
