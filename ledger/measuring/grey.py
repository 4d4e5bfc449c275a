"""White balance from the card's grey patches: for the view only. The original stays, and colours in words are the record."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import KINDS, Box
from ledger.measuring.plane import Array
from ledger.measuring.view import CardView

_DARKEST, _BRIGHTEST = 20.0, 248.0  # levels of sRGB that a camera neither drowns in noise nor clips
_INSIDE = 0.6  # of a patch's side is looked at, so that neither blur nor a hand's shake brings in its edge
_SAMPLES = 12  # a side
_LEAST_PATCHES = 2
_MOST_APART = (
    0.15  # of one patch's balance from the middle of all: beyond, the light is not one, or the ink no grey
)
_MOST_GAIN = 4.0

Gains = tuple[float, float, float]


def white_balance(rgb: NDArray[np.uint8], view: CardView, *, scale: float = 1.0) -> Gains | None:
    """What to multiply linear red, green and blue with so that the card's greys come out grey; green's is 1.

    `rgb` (h, w, 3) in sRGB is the photo or a copy of it, `scale` px of it per px of the photo. None where the patches say
    nothing: clipped, dark, hidden, lit by two kinds of light, or printed in colour. Only their hue is used, never how
    light they are: printers print greys lighter or darker, but without a hue if they have one black ink.
    """
    ratios = []
    for box in (patch.box for patch in KINDS[view.kind].greys):
        seen = _seen(rgb, view, box, scale)
        if seen is not None:
            ratios.append(seen[1] / seen)
    if len(ratios) < _LEAST_PATCHES:
        return None
    middle = np.median(np.array(ratios), axis=0)
    near = [one for one in ratios if np.max(np.abs(one / middle - 1.0)) <= _MOST_APART]
    if len(near) < max(_LEAST_PATCHES, len(ratios) - 1):
        return None
    red, green, blue = np.mean(near, axis=0).tolist()
    if max(red, blue) > _MOST_GAIN or min(red, blue) < 1 / _MOST_GAIN:
        return None
    return red, green, blue


def _seen(rgb: NDArray[np.uint8], view: CardView, box: Box, scale: float) -> Array | None:
    """The mean light (3,) that comes from a patch, linear, or None where the camera did not see it well."""
    at = (view.plane.to_px(np.array(list(_places(box))) * view.printed_mm_per_mm) + 0.5) * scale - 0.5
    x, y = np.rint(at).astype(int).T
    if x.min() < 0 or y.min() < 0 or x.max() >= rgb.shape[1] or y.max() >= rgb.shape[0]:
        return None
    levels = rgb[y, x].astype(np.float64)
    middle = levels.mean(axis=0)
    if middle.min() < _DARKEST or middle.max() > _BRIGHTEST:
        return None
    return np.asarray(_linear(levels).mean(axis=0))


def _places(box: Box) -> Iterator[tuple[float, float]]:
    steps = 0.5 + _INSIDE * (np.arange(_SAMPLES) / (_SAMPLES - 1) - 0.5)
    for down in steps:
        for across in steps:
            yield box.x_mm + across * box.width_mm, box.y_mm + down * box.height_mm


def _linear(levels: Array) -> Array:
    """sRGB 0 to 255 to linear light 0 to 1 (IEC 61966-2-1)."""
    value = levels / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
