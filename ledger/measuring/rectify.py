"""A patch of a photo, straightened: seen as if from straight above the plane."""

import math
from collections.abc import Callable
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from ledger.measuring.lengths import NotInPlane, scale_at
from ledger.measuring.plane import Array
from ledger.measuring.view import View
from ledger.words import say

_MOST_PX = 4000  # a side


class Rectified(NamedTuple):
    """`patch` (h, w) or (h, w, 3), `px_per_mm` with its standard uncertainty; `back` takes (x, y) px of it to the photo."""

    patch: NDArray[np.uint8]
    px_per_mm: float
    u_px_per_mm: float
    back: Callable[[tuple[float, float]], tuple[float, float]]


def rectified(
    photo: NDArray[np.uint8],
    view: View,
    box: tuple[float, float, float, float],
    *,
    begins: tuple[int, int] = (0, 0),
) -> Rectified:
    """Straighten the box (x, y, width, height in px) of a photo, (h, w) or (h, w, 3), turned as little as may be.

    `photo` may be a part cut from the whole one, beginning at that one's pixel `begins` (x, y); `box` is of the whole.

    As many pixels per mm as the photo has along the slope, where it has least: nothing is made up. The rectangle lies
    within the box. Raises NotInPlane for a box that shows no part of the plane, or next to nothing of it.
    """
    x, y, wide, high = box
    corners = np.array([[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]], dtype=np.float64)
    middle = corners.mean(axis=0)
    on_plane = view.plane.to_mm(np.vstack([corners, middle]))
    if not np.all(np.isfinite(on_plane)):
        raise NotInPlane(
            say("The patch lies beyond the horizon of the card's plane. Choose one nearer to the card.")
        )
    by_mm, _ = view.plane.slopes(on_plane[4])
    left, sizes, right = np.linalg.svd(by_mm)
    px_per_mm = float(sizes.min())
    turn = left @ right  # the turn nearest to the slope itself, so that up stays up
    edges = (on_plane[:4] - on_plane[4]) @ turn.T * px_per_mm
    low = np.array([max(edges[0, 0], edges[3, 0]), max(edges[0, 1], edges[1, 1])])
    far = np.array([min(edges[1, 0], edges[2, 0]), min(edges[2, 1], edges[3, 1])])
    size = np.floor(far - low).astype(int)
    if np.any(size < 2) or np.any(size > _MOST_PX):
        raise NotInPlane(
            say(
                "The patch is seen too much from the side to be straightened. Photograph it from straight above."
            )
        )
    matrix = _to_photo(view, on_plane[4], turn, px_per_mm, low)
    cut = np.array([[1, 0, -begins[0]], [0, 1, -begins[1]], [0, 0, 1]], dtype=np.float64)
    patch = cv2.warpPerspective(
        photo, cut @ matrix, (int(size[0]), int(size[1])), flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    )
    mm_per_px, u = scale_at(view, (float(middle[0]), float(middle[1])))

    def back(point: tuple[float, float]) -> tuple[float, float]:
        px = matrix @ np.array([point[0], point[1], 1.0])
        return float(px[0] / px[2]), float(px[1] / px[2])

    return Rectified(np.asarray(patch, dtype=np.uint8), px_per_mm, px_per_mm * u / mm_per_px, back)


def _to_photo(view: View, middle_mm: Array, turn: Array, px_per_mm: float, low: Array) -> Array:
    """3 x 3, px of the patch to px of the photo."""
    to_mm = np.eye(3)
    to_mm[:2, :2] = turn.T / px_per_mm
    to_mm[:2, 2] = middle_mm - np.array(view.plane.origin_mm) + turn.T @ low / px_per_mm
    matrix = view.plane.mm_to_px_about_origin @ to_mm
    if not math.isfinite(float(matrix.sum())):
        raise NotInPlane(say("The patch lies beyond the horizon of the card's plane."))
    return np.asarray(matrix)
