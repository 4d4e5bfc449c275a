"""A card whose print is not of its size: the same view by what a ruler says of the card's 50 mm line."""

import math
from dataclasses import replace

import numpy as np

from ledger.measuring.card import CHECK_LINE_MM
from ledger.measuring.plane import Plane
from ledger.measuring.view import U_LENS, U_PRINTED, CardView

# What a printer makes of its two directions differs by about a thousandth (from memory); the line tells one of them.
_OTHER_WAY = 0.001


def share_of_line(read_to_mm: float) -> float:
    """The relative standard uncertainty of a print whose 50 mm line was read to `read_to_mm`.

    d / sqrt(12) for a display of resolution d (GUM F.2.2.1), and the direction that the line does not tell of.
    """
    return math.hypot(read_to_mm / math.sqrt(12) / CHECK_LINE_MM, _OTHER_WAY)


def reprinted(view: CardView, printed_mm_per_mm: float, *, u_printed: float = U_PRINTED) -> CardView:
    """The view by a print that made `printed_mm_per_mm` of one millimetre, with the relative standard uncertainty of that.

    Exact: with millimetres k times as long, the parameters that multiply a millimetre are divided by k, and so are the rows
    and columns of their covariance. The card is where it was on the photo; what was seen of it does not change.
    """
    longer = printed_mm_per_mm / view.printed_mm_per_mm
    by = np.array([1 / longer, 1 / longer, 1.0, 1 / longer, 1 / longer, 1.0, 1 / longer, 1 / longer])
    plane = view.plane
    x, y = plane.origin_mm
    return replace(
        view,
        plane=Plane(plane.parameters * by, plane.covariance * np.outer(by, by), (x * longer, y * longer)),
        printed_mm_per_mm=printed_mm_per_mm,
        share=math.hypot(u_printed, U_LENS),
    )
