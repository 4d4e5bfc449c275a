"""From points on a photo to a number with its uncertainty: reads the row's scale, asks the pure room, writes nothing."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from ledger.finds.models import Photo
from ledger.measures.models import Measurement, PhotoScale
from ledger.measuring import scale_json
from ledger.measuring.lengths import POINTING_PX, Length, NotInPlane, measure
from ledger.measuring.overlap import Mark, places
from ledger.measuring.pore_together import Contradiction
from ledger.measuring.pores import PoresRefused, Together, combine, count_pores, hand_count
from ledger.measuring.rectify import rectified
from ledger.measuring.text import with_uncertainty
from ledger.measuring.view import View
from ledger.photos.decoding import ONE_AT_A_TIME
from ledger.photos.upright import upright_part, upright_size
from ledger.words import say

# How well a person knows how far something lies above the plane of the card: a third of it, at least half a millimetre.
ABOVE_SHARE = 1 / 3
ABOVE_AT_LEAST_MM = 0.5
LEAST_PX = 1.0  # what is nearer is one pixel
LEAST_TAPS = 2
PATCH_PX = (60, 2500)
_AROUND_PX = 4  # what lies around a patch counts in the values between its outermost pixels


class CannotMeasure(ValueError):
    """The sentence says what was wrong with the points or the photo, and what to do."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What came out: `value` with standard uncertainty `u` (k = 1) in `unit`; `centres` are found pores, pixels."""

    value: float
    unit: str
    u: float
    parts: Mapping[str, float]
    n: int | None = None
    sentence: str = ""
    centres: Sequence[tuple[float, float]] = field(default_factory=tuple)
    spacing_px: float = 0.0

    @property
    def text(self) -> str:
        return with_uncertainty(self.value, 2 * self.u, self.unit)


def take(
    photo: Photo, scale: PhotoScale, way: str, points: Sequence[Sequence[float]], *, above_mm: float = 0.0
) -> Taken:
    """Measure. `points` as Measurement stores them, already known to be pairs of finite numbers in the photo.

    Raises CannotMeasure.
    """
    view = scale_json.from_json(scale.view)
    try:
        return _taken(photo, view, way, points, above_mm)
    except NotInPlane as why:
        raise CannotMeasure(str(why)) from None


@dataclass(frozen=True, slots=True)
class _Count:
    """A kept count of pores as `combine` wants it."""

    per_mm: float
    u_per_mm: float
    n: int


def together(rows: Sequence[Measurement]) -> Together:
    """Kept counts of one underside as one; marks that overlap are one place.

    What their scales may be wrong by is shared by all of them: the same card. Raises CannotMeasure where they contradict
    each other.
    """
    views = [scale_json.from_json(row.scale.view) for row in rows]
    u_scale = max(math.hypot(view.share, view.plane_share) for view in views)
    try:
        return combine(
            [_Count(row.value, row.u, row.n or 0) for row in rows],
            u_scale=u_scale,
            places=places([_mark(row) for row in rows]),
        )
    except Contradiction as why:
        raise CannotMeasure(str(why)) from None


def _mark(row: Measurement) -> Mark:
    """Where a count was made. A patch is kept as its corner and size."""
    (x, y), (to_x, to_y) = row.points[:2]
    if row.way == Measurement.Way.COUNT:
        return Mark(str(row.photo_id), (x, y), (x + to_x, y + to_y), is_patch=True)
    return Mark(str(row.photo_id), (x, y), (to_x, to_y), is_patch=False)


def _along(view: View, points: Sequence[Sequence[float]], **above: float) -> Length:
    """The line from the first point to the second. Raises CannotMeasure where they are one."""
    if math.dist(points[0], points[1]) < LEAST_PX:
        raise CannotMeasure(say("Both ends of the line lie in one place. Put them apart, each on an end."))
    return measure(view, points[0], points[1], pointing_px=POINTING_PX, **above)


def _taken(photo: Photo, view: View, way: str, points: Sequence[Sequence[float]], above_mm: float) -> Taken:
    if way == Measurement.Way.LINE:
        u_above = max(ABOVE_AT_LEAST_MM, abs(above_mm) * ABOVE_SHARE) if above_mm else 0.0
        length = _along(view, points, above_mm=above_mm, u_above_mm=u_above)
        parts = {"scale": length.scale_mm, "pointing": length.pointing_mm, "plane": length.plane_mm}
        return Taken(length.mm, "mm", length.u_mm, parts)
    if way == Measurement.Way.TAPS:
        return _tapped(view, points)
    return _counted(photo, view, points)


def _tapped(view: View, points: Sequence[Sequence[float]]) -> Taken:
    along = _along(view, points)
    taps = len(points) - 2
    if taps < LEAST_TAPS:
        raise CannotMeasure(say("Only {n} pores are tapped. Tap every pore that the line crosses.", n=taps))
    counted = hand_count([along.mm], [taps], u_lengths_mm=[along.u_mm])
    return Taken(
        counted.per_mm, "1/mm", counted.u_per_mm, {"along_mm": along.mm}, n=taps, sentence=counted.sentence
    )


def _counted(photo: Photo, view: View, points: Sequence[Sequence[float]]) -> Taken:
    (x, y), (w, h) = points
    if min(w, h) < PATCH_PX[0]:
        raise CannotMeasure(
            say(
                "The patch is only {width} × {height} pixels. Mark a larger one.",
                width=f"{w:.0f}",
                height=f"{h:.0f}",
            )
        )
    if max(w, h) > PATCH_PX[1]:
        raise CannotMeasure(
            say(
                "The patch is {width} × {height} pixels; at most {most} a side are counted. Mark a smaller one.",
                width=f"{w:.0f}",
                height=f"{h:.0f}",
                most=PATCH_PX[1],
            )
        )
    wide, high = upright_size(photo.width, photo.height, photo.orientation)
    left, top = max(0, int(x) - _AROUND_PX), max(0, int(y) - _AROUND_PX)
    right, bottom = min(wide, math.ceil(x + w) + _AROUND_PX), min(high, math.ceil(y + h) + _AROUND_PX)
    # A large patch takes more than a hundred megabytes while it is counted: four threads of a worker took 800 together.
    with ONE_AT_A_TIME:
        with photo.original.open() as file:
            part = upright_part(file.read(), (left, top, right, bottom))
        flat = rectified(np.asarray(part), view, (x, y, w, h), begins=(left, top))
        counted = count_pores(flat.patch, px_per_mm=flat.px_per_mm, u_px_per_mm=flat.u_px_per_mm)
    if isinstance(counted, PoresRefused):
        raise CannotMeasure(counted.sentence)
    return Taken(
        counted.per_mm,
        "1/mm",
        counted.u_per_mm,
        {"spacing_mm": counted.spacing_mm, "u_spacing_mm": counted.u_spacing_mm},
        n=counted.n,
        sentence=counted.sentence,
        centres=[flat.back(centre) for centre in counted.centres],
        spacing_px=counted.spacing_mm / view.mm_per_px,
    )
