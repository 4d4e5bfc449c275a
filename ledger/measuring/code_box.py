"""The field of a scale card that a code may stand in, laid flat: what is too small or tilted in the photo is read there."""

import cv2
import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import KINDS
from ledger.measuring.view import CardView

_SIDE_PX, _MARGIN_PX = 400, 20


def flat_code_box(grey: NDArray[np.uint8], view: CardView) -> NDArray[np.uint8]:
    """The code's field of the card as a square of 440 px with white around it, whether or not a code is printed there."""
    box = KINDS[view.kind].code_box
    right, bottom = box.x_mm + box.width_mm, box.y_mm + box.height_mm
    corners = np.array([[box.x_mm, box.y_mm], [right, box.y_mm], [right, bottom], [box.x_mm, bottom]])
    seen = view.plane.to_px(corners * view.printed_mm_per_mm).astype(np.float32)
    flat = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], dtype=np.float32) * _SIDE_PX
    lay = cv2.getPerspectiveTransform(seen, flat)
    laid = cv2.warpPerspective(grey, lay, (_SIDE_PX, _SIDE_PX), flags=cv2.INTER_LINEAR, borderValue=255)
    return np.pad(np.asarray(laid, dtype=np.uint8), _MARGIN_PX, constant_values=255)
