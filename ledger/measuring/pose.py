"""Where the camera was above the plane: its tilt, its distance, and the point straight below it.

A homography from plane to photo is, up to a factor, K [r1 r2 t] with the camera's turn r and place t (Zhang, A flexible new
technique for camera calibration, IEEE PAMI 22 (2000), 3.1). K holds the focal length; square pixels and the axis in the
middle of the photo are assumed, so a cut-out of a photo gives a wrong tilt, never wrong lengths in the plane.
"""

import math
from dataclasses import dataclass

import numpy as np

from ledger.measuring.plane import Array, Plane

# A phone's main camera shows what 24 to 28 mm show on film of 36 mm: 0.67 to 0.78 of the longer side; cameras with a
# longer lens more (from memory). The relative uncertainty covers those from 0.5 to 1.1.
USUAL_FOCAL, U_USUAL_FOCAL = 0.76, 0.2
# Where not even the size of the photo is known, that of 12 megapixels is taken, and little is claimed.
_USUAL_SIZE_PX, _U_UNKNOWN_SIZE = (4000, 3000), 0.5
U_GIVEN_FOCAL = 0.02  # of a focal length read from a photo: rounded, and a little longer when focused near


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """`tilt_deg` between the plane and the photo's own; `foot_mm` (x, y) of the plane straight below the camera;
    `height_mm` of the camera above the plane with its standard uncertainty."""

    tilt_deg: float
    foot_mm: Array
    height_mm: float
    u_height_mm: float


def pose_of(plane: Plane, size_px: tuple[int, int] | None, focal_px: float | None) -> Pose:
    """The pose by the focal length in px, or by the usual one, which is less certain.

    Where the focal length is not quite that of the photo, r1 and r2 come out not quite square to each other; the nearest
    square pair is taken (orthogonal Procrustes by singular values).
    """
    wide, high = size_px or _USUAL_SIZE_PX
    focal = focal_px or USUAL_FOCAL * max(wide, high)
    middle = (wide - 1) / 2, (high - 1) / 2
    inverse = np.array([[1 / focal, 0, -middle[0] / focal], [0, 1 / focal, -middle[1] / focal], [0, 0, 1.0]])
    seen = inverse @ plane.mm_to_px_about_origin
    left, sizes, right = np.linalg.svd(seen[:, :2], full_matrices=False)
    pair = left @ right
    scale = float(sizes.mean())
    turn = np.column_stack([pair, np.cross(pair[:, 0], pair[:, 1])])
    eye = -turn.T @ (seen[:, 2] / scale)
    height = abs(float(eye[2]))
    share = U_GIVEN_FOCAL if focal_px else U_USUAL_FOCAL if size_px else _U_UNKNOWN_SIZE
    tilt = math.degrees(math.acos(min(1.0, abs(float(turn[2, 2])))))
    return Pose(tilt, np.asarray(eye[:2] + plane.origin_mm), height, share * height)
