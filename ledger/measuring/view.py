"""What is known of the scale of a photo: the card as it lies in it, or why there is none."""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from ledger.measuring.card import KINDS
from ledger.measuring.plane import Array, Plane
from ledger.measuring.pose import Pose, pose_of
from ledger.words import Said, say, say_n

# The relative standard uncertainty of the print: what a ruler laid on the 50 mm line tells (half a millimetre read, so
# 0.5 / sqrt(12) of 50, GUM 4.3.7), and about what office printers keep to where nobody measured (from memory).
U_PRINTED = 0.003
# The same of the lens: phones straighten their own photos, and what stays shifts lengths by a few tenths of a percent, more
# towards the corners (from memory). It is not corrected.
U_LENS = 0.002

# For the sentences: a line as long as a small cap is wide, its ends half a millimetre off the plane (our own judgement).
_USUAL_LINE_MM, _USUAL_OFF_MM = 50.0, 0.5
_TILT_WORTH_SAYING_DEG = 20.0
_SHARE_WORTH_SAYING = 0.02
# A flat card seen through a straight lens stays below either (tuning seeds of make bench-photos).
_BENT_MISFIT, _BENT_MM = 2.5, 0.05
_BLUR_WORTH_SAYING_MM, _BLUR_WORTH_SAYING_PX = 0.3, 3.5


class View(Protocol):
    """What lengths are measured with: a card or a ruler in the photo.

    `share` is the relative standard uncertainty of every length alike (of print and lens, or of the ruler), `plane_share`
    that of not knowing how the plane lies. `mm_per_px` and `u_mm_per_px` in the middle of the card or ruler.
    """

    @property
    def plane(self) -> Plane: ...
    @property
    def share(self) -> float: ...
    @property
    def plane_share(self) -> float: ...
    @property
    def size_px(self) -> tuple[int, int] | None: ...
    @property
    def mm_per_px(self) -> float: ...
    @property
    def u_mm_per_px(self) -> float: ...
    @property
    def sentences(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class NoCard:
    """No scale card was found; `why` is a sentence for a person."""

    why: str


@dataclass(frozen=True, slots=True, eq=False)
class CardView:
    """A card of `kind` (a code of KINDS) in a photo of `size_px` (width, height).

    `plane` maps millimetres (the card's own, corrected by `printed_mm_per_mm`) and pixels; `residual_px` is how far the
    corners of the markers lie beside it (root mean square of one coordinate), `worst_px` the farthest, `misfit` how many
    times what noise and blur let expect; `markers` those seen; `blur_px` the standard deviation of a sharp edge's spread.
    """

    kind: str
    plane: Plane
    size_px: tuple[int, int]
    markers: tuple[int, ...]
    residual_px: float
    worst_px: float
    misfit: float
    blur_px: float
    printed_mm_per_mm: float
    share: float
    plane_share: float = 0.0

    @property
    def px_to_mm(self) -> Array:
        return self.plane.px_to_mm

    @property
    def corners_px(self) -> Array:
        """(4, 2): the corners of the cut card, upper left first and clockwise."""
        return self.plane.to_px(np.array(KINDS[self.kind].corners_mm) * self.printed_mm_per_mm)

    @property
    def mm_per_px(self) -> float:
        return self.plane.mm_per_px(np.array(self.plane.origin_mm))

    @property
    def u_mm_per_px(self) -> float:
        middle = self.plane.to_px(np.array([self.plane.origin_mm]))[0]
        return math.hypot(self.plane.u_mm_per_px(middle), self.share * self.mm_per_px)

    def pose(self, focal_px: float | None = None) -> Pose:
        """Where the camera was, by its focal length in px or else by that of a usual phone."""
        return pose_of(self.plane, self.size_px, focal_px)

    @property
    def tilt_deg(self) -> float:
        return self.pose().tilt_deg

    @property
    def good_to(self) -> float:
        """Relative expanded uncertainty (k = 2) of a line of 50 mm by the card, its ends half a millimetre off the plane."""
        off = _USUAL_OFF_MM * math.tan(math.radians(min(self.tilt_deg, 85.0))) * math.sqrt(2) / _USUAL_LINE_MM
        return 2 * math.hypot(self.u_mm_per_px / self.mm_per_px, off)

    @property
    def is_tilted(self) -> bool:
        """Whether so much that it is worth saying."""
        return self.tilt_deg > _TILT_WORTH_SAYING_DEG or self.good_to > _SHARE_WORTH_SAYING

    @property
    def summary(self) -> Said:
        """One sentence on the card as it lies; what is not good enough stands in `sentences`."""
        card, px = KINDS[self.kind].title, f"{1 / self.mm_per_px:.1f}"
        if self.is_tilted:
            return say("{card} found, {px} pixels per mm.", card=card, px=px)
        return say(
            "{card} found, {px} pixels per mm: lengths good to {percent}.",
            card=card,
            px=px,
            percent=_percent(self.good_to),
        )

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is not good enough; none where all is well."""
        said: list[str] = []
        if self.is_tilted:
            said.append(
                say(
                    "Card tilted {degrees} degrees: lengths good to {percent}. "
                    "Hold the camera straight above it for better ones.",
                    degrees=f"{self.tilt_deg:.0f}",
                    percent=_percent(self.good_to),
                )
            )
        if self.blur_px > max(_BLUR_WORTH_SAYING_PX, _BLUR_WORTH_SAYING_MM / self.mm_per_px):
            wide = 2 * self.blur_px
            said.append(
                say(
                    "Blurred: a sharp edge is spread over {px} pixels ({mm} mm). Points cannot be put better than that.",
                    px=f"{wide:.0f}",
                    mm=f"{wide * self.mm_per_px:.1f}",
                )
            )
        if self.misfit > _BENT_MISFIT and self.worst_px * self.mm_per_px > _BENT_MM:
            said.append(
                say(
                    "The card is bent, or the lens bends straight lines: a corner lies {mm} mm beside its place. "
                    "Lengths are less certain, as said with each.",
                    mm=f"{self.worst_px * self.mm_per_px:.2f}",
                )
            )
        hidden = len(KINDS[self.kind].markers) - len(self.markers)
        if hidden:
            said.append(
                say_n(
                    "{n} of the card's {all} black squares is hidden or out of the photo. "
                    "Lay the card free for better lengths.",
                    "{n} of the card's {all} black squares are hidden or out of the photo. "
                    "Lay the card free for better lengths.",
                    hidden,
                    all=len(KINDS[self.kind].markers),
                )
            )
        return tuple(said)


def _percent(share: float) -> str:
    value = 100 * share
    return f"{value:.1f} %" if value < 2 else f"{value:.0f} %"
