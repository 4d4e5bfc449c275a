"""A plane seen by a camera: the map between its millimetres and the photo's pixels, fitted, with its uncertainty.

Parameters p = (h11, h12, h13, h21, h22, h23, h31, h32) of the 3 x 3 homography from millimetres to pixels, h33 = 1, where
the millimetres count from `origin_mm` (the middle of the card, which is in front of the camera, so that h33 is never 0).
Pixels: a pixel's own centre is a whole number.
"""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ROUNDS = 12
# From the tuning seeds of make bench-photos: the degrees of freedom that what was expected counts for; how far beyond it
# a spread is no chance; and what the excess is multiplied with (so that slightly bent cards are covered as flat ones are).
_EXPECTED_WEIGHT, _BEYOND, _BENT = 8.0, 2.0, 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """`parameters` (8,) and their `covariance` (8, 8) as told above; `origin_mm` (x, y)."""

    parameters: Array
    covariance: Array
    origin_mm: tuple[float, float]

    def to_px(self, mm: Array) -> Array:
        """(n, 2) points in mm to (n, 2) pixels."""
        return projected(self.parameters, np.asarray(mm, dtype=np.float64) - self.origin_mm)

    def to_mm(self, px: Array) -> Array:
        """(n, 2) pixels to (n, 2) points in mm; nan at the horizon of the plane and beyond it."""
        flat = _homogeneous(np.asarray(px, dtype=np.float64)) @ np.linalg.inv(self.mm_to_px_about_origin).T
        with np.errstate(divide="ignore", invalid="ignore"):
            mm = flat[:, :2] / flat[:, 2:]
        mm[flat[:, 2] <= 0] = np.nan
        return np.asarray(mm + self.origin_mm)

    @property
    def mm_to_px_about_origin(self) -> Array:
        return np.append(self.parameters, 1.0).reshape(3, 3)

    @property
    def px_to_mm(self) -> Array:
        """3 x 3, pixels to mm, scaled so that its last element is 1."""
        x, y = self.origin_mm
        back = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]]) @ np.linalg.inv(self.mm_to_px_about_origin)
        return np.asarray(back / back[2, 2])

    def slopes(self, mm: Array) -> tuple[Array, Array]:
        """At one point in mm: (2, 2) how pixels move with mm, and (2, 8) how mm move with the parameters, the pixel held."""
        x, y = np.asarray(mm, dtype=np.float64) - self.origin_mm
        by_mm, by_parameters = _derivatives(self.parameters, x, y)
        return by_mm, np.asarray(-np.linalg.solve(by_mm, by_parameters), dtype=np.float64)

    def mm_per_px(self, mm: Array) -> float:
        """At one point in mm: the square root of the square millimetres that one pixel shows there."""
        by_mm, _ = self.slopes(mm)
        return float(abs(np.linalg.det(by_mm)) ** -0.5)

    def u_mm_per_px(self, px: Array) -> float:
        """Standard uncertainty of `mm_per_px` at one pixel, from the fit alone (GUM 5.2.2, slopes by differences)."""
        steps = np.sqrt(np.maximum(np.diag(self.covariance), 0.0)) + 1e-12 * np.abs(self.parameters) + 1e-15
        slope = np.empty(8)
        for k in range(8):
            ends = []
            for sign in (1.0, -1.0):
                moved = self.parameters.copy()
                moved[k] += sign * 0.5 * steps[k]
                plane = Plane(moved, self.covariance, self.origin_mm)
                ends.append(plane.mm_per_px(plane.to_mm(px[None])[0]))
            slope[k] = (ends[0] - ends[1]) / steps[k]
        return math.sqrt(max(0.0, float(slope @ self.covariance @ slope)))


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The plane, each point's residual (n, 2) px, the standard deviation of one coordinate of a point, px, how many times
    what was expected their spread is, and how far the points were found shifted along the ways given, px."""

    plane: Plane
    residuals: Array
    sigma_px: float
    misfit: float
    shift_px: float


def fit_plane(
    mm: Array, px: Array, ways: Array, origin_mm: tuple[float, float], *, expected_px: float
) -> Fit:
    """Fit by least squares on the pixels (Hartley & Zisserman, Multiple View Geometry, 2nd ed., 4.2: the error in one
    image, here the photo, since the card's millimetres are known), Gauss-Newton from a direct start.

    `mm`, `px`: (n, 2), n of 5 or more. `ways` (n, 2): the points may all be shifted by one unknown amount, each along its
    own way; it is fitted as a ninth parameter, and so takes its part in the uncertainty. ValueError where the points define
    no plane.

    The spread of the points about the fit says how well they were seen; with few points it says so poorly, so that
    `expected_px`, the standard uncertainty of a coordinate, counts like some further ones. A spread far beyond it is no
    chance: the card is bent, or the lens bends what is straight. Then neighbouring points are wrong together, few of them
    are independent, and the excess counts several times over.
    """
    about = np.asarray(mm, dtype=np.float64) - origin_mm
    start, _ = cv2.findHomography(about, np.asarray(px, dtype=np.float64), 0)
    if start is None or abs(start[2, 2]) < 1e-12:
        raise ValueError("The points define no plane.")
    p = np.append(np.asarray(start / start[2, 2], dtype=np.float64).ravel()[:8], 0.0)
    for _ in range(_ROUNDS):
        wrong, slope, size = _linear(p, about, px, ways)
        step = np.linalg.lstsq(slope, wrong, rcond=None)[0]
        p = p + step / size
        if not np.all(np.isfinite(p)):
            raise ValueError("The points define no plane.")
        if np.max(np.abs(step)) < 1e-7:
            break
    wrong, slope, size = _linear(p, about, px, ways)
    free = wrong.size - 9
    variance = (float(wrong @ wrong) + _EXPECTED_WEIGHT * expected_px**2) / (free + _EXPECTED_WEIGHT)
    variance += (_BENT - 1.0) * max(0.0, variance - (_BEYOND * expected_px) ** 2)
    covariance = variance * np.linalg.pinv(slope.T @ slope) / np.outer(size, size)
    plane = Plane(p[:8], covariance[:8, :8], origin_mm)
    misfit = math.sqrt(float(wrong @ wrong) / free) / expected_px
    return Fit(plane, wrong.reshape(-1, 2), math.sqrt(variance), misfit, float(p[8]))


def _linear(p: Array, about: Array, px: Array, ways: Array) -> tuple[Array, Array, Array]:
    """At the nine parameters: what is wrong (2n,), its slopes (2n, 9) each scaled to a length of 1, and those lengths."""
    wrong = (px - projected(p[:8], about) - p[8] * ways).ravel()
    slope = np.column_stack([_jacobian(p[:8], about), ways.ravel()])
    size = np.linalg.norm(slope, axis=0)
    return wrong, slope / size, size


def projected(p: Array, about: Array) -> Array:
    """(n, 2) mm counted from the origin to (n, 2) pixels."""
    flat = _homogeneous(about) @ np.append(p, 1.0).reshape(3, 3).T
    return np.asarray(flat[:, :2] / flat[:, 2:])


def _homogeneous(points: Array) -> Array:
    return np.column_stack([points, np.ones(len(points))])


def _jacobian(p: Array, about: Array) -> Array:
    """(2n, 8): how the pixels of the points move with the parameters."""
    x, y = about[:, 0], about[:, 1]
    w = p[6] * x + p[7] * y + 1.0
    u, v = projected(p, about).T
    zero = np.zeros_like(x)
    rows_u = np.column_stack([x / w, y / w, 1 / w, zero, zero, zero, -u * x / w, -u * y / w])
    rows_v = np.column_stack([zero, zero, zero, x / w, y / w, 1 / w, -v * x / w, -v * y / w])
    return np.stack([rows_u, rows_v], axis=1).reshape(-1, 8)


def _derivatives(p: Array, x: float, y: float) -> tuple[Array, Array]:
    w = p[6] * x + p[7] * y + 1.0
    u, v = projected(p, np.array([[x, y]]))[0]
    by_mm = np.array([[p[0] - u * p[6], p[1] - u * p[7]], [p[3] - v * p[6], p[4] - v * p[7]]]) / w
    return by_mm, _jacobian(p, np.array([[x, y]]))
