"""A photo of the small scale card straight from above, drawn from its table alone."""

import io

import cv2
import numpy as np
from PIL import Image

from ledger.measuring.card import MARKER_BITS, MODULES, SMALL

PX_PER_MM = 12.0
LEFT, TOP = 300, 200  # where the card lies on the photo


def with_card() -> bytes:
    """A photo straight from above of the small card at 12 pixels per mm, drawn from its table alone."""
    photo = np.full((1100, 1800), 205, np.uint8)
    card = photo[TOP : TOP + int(54 * PX_PER_MM), LEFT : LEFT + int(85 * PX_PER_MM)]
    card[:] = 250
    for marker in SMALL.markers:
        bits = (
            np.array([int(bit) for bit in MARKER_BITS[marker.id]], np.uint8).reshape(MODULES, MODULES) * 250
        )
        side = round(marker.side_mm * PX_PER_MM)
        drawn = cv2.resize(np.pad(bits, 1), (side, side), interpolation=cv2.INTER_NEAREST)
        x, y = round(marker.x_mm * PX_PER_MM), round(marker.y_mm * PX_PER_MM)
        card[y : y + side, x : x + side] = drawn
    out = io.BytesIO()
    Image.fromarray(cv2.GaussianBlur(photo, (0, 0), 1.0)).save(out, "JPEG", quality=90)
    return out.getvalue()
