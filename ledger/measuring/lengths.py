"""Lengths in the plane of a card or a ruler, with their uncertainty and what it is made of (GUM: JCGM 100:2008)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ledger.measuring.plane import Array, Plane
from ledger.measuring.pose import Pose, pose_of
from ledger.measuring.view import View
from ledger.words import say

# How far a point put by finger or mouse on a zoomed photo lies beside what it means: one standard deviation of x and of
# y, in px of the photo. Common practice, no source.
POINTING_PX = 1.5


class NotInPlane(ValueError):
    """The point shows no place of the plane, or the line lies farther above it than the camera; the sentence says which."""


@dataclass(frozen=True, slots=True)
class Length:
    """`mm` with its standard uncertainty `u_mm` (k = 1), the root of the sum of squares of its parts: `scale_mm` (the card
    as found and as printed, or the ruler), `pointing_mm` (both ends), `plane_mm` (how far off the plane, and how that lies).
    """

    mm: float
    u_mm: float
    scale_mm: float
    pointing_mm: float
    plane_mm: float


def measure(
    view: View,
    a: Sequence[float],
    b: Sequence[float],
    *,
    pointing_px: float = POINTING_PX,
    above_mm: float = 0.0,
    u_above_mm: float = 0.0,
    focal_px: float | None = None,
) -> Length:
    """The length of the line from `a` to `b`, px (x, y) of the photo.

    `pointing_px`: standard deviation of each coordinate of each end. `above_mm`: how far the line lies above the plane,
    towards the camera (below it: negative), with its standard uncertainty; both need the camera's distance, for which
    `focal_px` (or the usual focal length) is wanted. Lens distortion is not corrected. Raises NotInPlane.
    """
    plane = view.plane
    ends_px = np.array([a, b], dtype=np.float64)
    ends = plane.to_mm(ends_px)
    if not np.all(np.isfinite(ends)):
        raise NotInPlane(
            say(
                "A point lies beyond the horizon of the card's plane. "
                "Measure nearer to the card, or straighter above it."
            )
        )
    apart = ends[0] - ends[1]
    flat = float(np.linalg.norm(apart))
    if flat == 0:
        # Two points in one: no way to go, so pointing counts alike in all.
        pointing = math.sqrt(2) * pointing_px * plane.mm_per_px(ends[0])
        return Length(0.0, pointing, 0.0, pointing, 0.0)
    way = apart / flat
    pose = pose_of(plane, view.size_px, focal_px) if above_mm or u_above_mm else None
    if pose is not None and above_mm > 0.5 * pose.height_mm:
        raise NotInPlane(
            say(
                "{above} mm above the plane is too near the camera, which was some {camera} mm above it.",
                above=f"{above_mm:g}",
                camera=f"{pose.height_mm:.0f}",
            )
        )
    # Rays that meet a plane nearer to the camera meet it nearer to each other, all in the same proportion.
    nearer = 1.0 - above_mm / pose.height_mm if pose is not None else 1.0
    scale, pointing = _in_plane(plane, ends, way, pointing_px)
    mm = flat * nearer
    scale_mm = math.hypot(scale * nearer, mm * view.share)
    pointing_mm = pointing * nearer
    off = _off_plane(pose, ends, way, flat, above_mm, u_above_mm) if pose is not None else 0.0
    plane_mm = math.hypot(off, mm * view.plane_share)
    return Length(mm, math.hypot(scale_mm, pointing_mm, plane_mm), scale_mm, pointing_mm, plane_mm)


def scale_at(view: View, point: Sequence[float]) -> tuple[float, float]:
    """Millimetres per pixel at a point (x, y) px of the photo, and its standard uncertainty. Raises NotInPlane.

    The square root of the square millimetres that a pixel shows: where the view is tilted, less along the plane's slope
    and more across it.
    """
    px = np.array(point, dtype=np.float64)
    mm = view.plane.to_mm(px[None])[0]
    if not np.all(np.isfinite(mm)):
        raise NotInPlane(
            say("The point lies beyond the horizon of the card's plane. Choose one nearer to the card.")
        )
    size = view.plane.mm_per_px(mm)
    return size, math.hypot(view.plane.u_mm_per_px(px), size * view.share, size * view.plane_share)


def _in_plane(plane: Plane, ends: Array, way: Array, pointing_px: float) -> tuple[float, float]:
    """Standard uncertainties in mm of the length between two points of the plane: from the fit, and from pointing.

    GUM 5.2.2 for the fit, whose parameters are correlated; GUM 5.1.2 for the ends, which are put one by one.
    """
    (by_mm_a, by_fit_a), (by_mm_b, by_fit_b) = (plane.slopes(end) for end in ends)
    slope = way @ (by_fit_a - by_fit_b)
    scale = math.sqrt(max(0.0, float(slope @ plane.covariance @ slope)))
    moved = [np.linalg.solve(by_mm.T, way) for by_mm in (by_mm_a, by_mm_b)]
    return scale, pointing_px * math.sqrt(sum(float(one @ one) for one in moved))


def _off_plane(pose: Pose, ends: Array, way: Array, flat: float, above_mm: float, u_above_mm: float) -> float:
    """Standard uncertainty in mm from not knowing how far above the plane the line lies.

    What lies h above the plane is seen h / H of its way from the camera's foot too far out, H the camera's height. If both
    ends are wrong together the length is wrong by u L / H; if each for itself, by what moves each end along the line, which
    in a tilted view is more. Which it is nobody knows: the larger counts. Then H itself, by u(H) h L / H^2.
    """
    together = flat
    apart = math.hypot(*(float((end - pose.foot_mm) @ way) for end in ends))
    share = above_mm * pose.u_height_mm / pose.height_mm**2
    return math.hypot(max(together, apart) * u_above_mm / pose.height_mm, flat * share)
