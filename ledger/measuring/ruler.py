"""Scale from two points on a ruler in frame: a view like that of a card, which knows less; and the two held together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledger.measuring.lengths import POINTING_PX, NotInPlane, measure
from ledger.measuring.plane import Plane
from ledger.measuring.text import with_uncertainty
from ledger.measuring.view import CardView
from ledger.words import Said, say

# What a good ruler's marks are off at most over its length, rectangular (from memory: ISO 4512 or a school ruler's 0.2 mm).
_RULER_MM = 0.2 / math.sqrt(3)
# Nobody knows how the plane lies to the camera. Up to some 25 degrees nobody notices; then a line across the slope comes
# out as much as 1 - cos(25 degrees) = 9 % longer than one along it: rectangular, either way (GUM 4.3.7).
_UNSEEN_TILT_DEG = 25.0
PLANE_SHARE = (1.0 - math.cos(math.radians(_UNSEEN_TILT_DEG))) / math.sqrt(3)
_LEAST_PX = 50.0


@dataclass(frozen=True, slots=True, eq=False)
class RulerView:
    """The scale of one line of the photo, taken for that of all others; `ends_px` are the two points on the ruler."""

    plane: Plane
    ends_px: tuple[tuple[float, float], tuple[float, float]]
    ruler_mm: float
    share: float
    size_px: tuple[int, int] | None = None
    plane_share: float = PLANE_SHARE

    @property
    def mm_per_px(self) -> float:
        return self.plane.mm_per_px(np.array(self.plane.origin_mm))

    @property
    def u_mm_per_px(self) -> float:
        """Along the ruler, where how the plane lies does not matter."""
        return self.share * self.mm_per_px

    @property
    def sentences(self) -> tuple[str, ...]:
        (ax, ay), (bx, by) = self.ends_px
        said: list[str] = [
            say(
                "Scale from a ruler, {px} pixels per mm. How the photo is tilted is not known: "
                "lengths that lie otherwise than the ruler are good to {percent} %.",
                px=f"{1 / self.mm_per_px:.1f}",
                percent=f"{200 * math.hypot(self.share, self.plane_share):.0f}",
            )
        ]
        if math.hypot(bx - ax, by - ay) < 4 * _LEAST_PX:
            said.append(
                say("The points on the ruler lie near each other; farther apart gives a better scale.")
            )
        return tuple(said)


def from_two_points(
    a: Sequence[float],
    b: Sequence[float],
    mm: float,
    *,
    pointing_px: float = POINTING_PX,
    size_px: tuple[int, int] | None = None,
) -> RulerView:
    """The view of a photo where `a` and `b` (x, y) px are `mm` millimetres apart on a ruler.

    Its uncertainty: pointing at both ends along the ruler, and the ruler's own marks. ValueError for points or lengths
    that give no scale.
    """
    if not math.isfinite(mm) or mm <= 0:
        raise ValueError(say("The length on the ruler is above 0 mm."))
    along = np.array(b, dtype=np.float64) - np.array(a, dtype=np.float64)
    px = float(np.linalg.norm(along))
    if not np.isfinite(px) or px < 1:
        raise ValueError(say("The two points on the ruler lie in one place."))
    size = px / mm
    parameters = np.array([size, 0.0, float(a[0]), 0.0, size, float(a[1]), 0.0, 0.0])
    share = math.hypot(math.sqrt(2) * pointing_px / px, _RULER_MM / mm)
    ends = ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
    return RulerView(Plane(parameters, np.zeros((8, 8)), (0.0, 0.0)), ends, mm, share, size_px)


@dataclass(frozen=True, slots=True)
class AgainstCard:
    """A ruler held against the card in the same photo; `differs`: by more than both are uncertain, or not comparable."""

    differs: bool
    sentence: str


_K = 2.0  # coverage factor: what is farther apart than chance puts it in 95 % of cases


def against_card(ruler: RulerView, card: CardView) -> AgainstCard:
    """What the card makes of the line between the two points on the ruler, and whether the two agree.

    They differ where |card - ruler| > k sqrt(u_card^2 + u_ruler^2), all mm (GUM 5.1.2; the two are independent). Pointing
    is in the card's length alone: it is the same two points.
    """
    a, b = ruler.ends_px
    try:
        length = measure(card, a, b)
    except NotInPlane:
        return AgainstCard(
            True,
            say(
                "The scale card lies so that this ruler cannot be held against it. "
                "Only one of them can be the scale."
            ),
        )
    by_card = with_uncertainty(length.mm, _K * length.u_mm, "mm")
    if abs(length.mm - ruler.ruler_mm) <= _K * math.hypot(length.u_mm, _RULER_MM):
        return AgainstCard(
            False,
            say(
                "By the scale card {length} lie between the two points: it agrees with the ruler. "
                "The card tells how the photo is tilted as well, the ruler does not.",
                length=by_card,
            ),
        )
    return AgainstCard(
        True,
        say(
            "By the scale card {length} lie between the two points, by the ruler {mm} mm: {apart}, "
            "more than their uncertainties allow.",
            length=by_card,
            mm=f"{ruler.ruler_mm:g}",
            apart=_apart(length.mm, ruler.ruler_mm),
        ),
    )


def _apart(one: float, other: float) -> Said:
    """How far two lengths above 0 differ, in words: times, or percent of the smaller where it is less than twice."""
    low, high = sorted((one, other))
    if low <= 0 or high / low >= 1.95:
        return say("{n} times apart", n=f"{high / low:.0f}") if low > 0 else say("far apart")
    return say("{n} % apart", n=f"{100 * (high / low - 1):.0f}")
