"""A drawn surface as a phone's camera shows it: light, focus, noise, debris, JPEG, a little perspective left over."""

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.bench.pore_surfaces import Grey, cloud, turned


def photographed(
    depth: Grey, centres: Grey, rng: np.random.Generator, pitch: float, over: int, size: int
) -> tuple[NDArray[np.uint8], Grey]:
    grey = _lit(depth, rng, pitch)
    _strew(grey, rng, pitch)
    keystone = _keystone(rng, len(grey))
    grey = cv2.warpPerspective(
        grey, keystone, grey.shape[::-1], flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT
    )
    if len(centres):
        fine = (centres + 0.5) * over - 0.5
        fine = cv2.perspectiveTransform(fine[None], keystone)[0]
        centres = (fine + 0.5) / over - 0.5
    grey = _focused(grey, rng, rng.uniform(0.4, max(1.5, 0.14 * pitch / over)) * over)
    if over > 1:
        grey = cv2.resize(grey, (size, size), interpolation=cv2.INTER_AREA)
    y, x = np.mgrid[-1 : 1 : size * 1j, -1 : 1 : size * 1j]  # type: ignore[misc]
    turn, slope = rng.uniform(0, 2 * np.pi), rng.uniform(0.0, 0.4)
    grey = (
        grey
        * (1 + slope * (np.cos(turn) * x + np.sin(turn) * y))
        * (1 - rng.uniform(0, 0.15) * (x**2 + y**2))
    )
    grey = grey / grey.max() * rng.uniform(0.55, 1.0)
    noise = rng.uniform(0.004, 0.025)
    if rng.random() < 0.5:
        tint = np.array([rng.uniform(0.55, 0.9), rng.uniform(0.75, 0.95), 1.0])
        grey = grey[:, :, None] * tint[rng.permutation(3) if rng.random() < 0.1 else [0, 1, 2]]
    grey = grey + noise * np.sqrt(0.3 + grey) * rng.normal(size=grey.shape)
    image = np.clip(grey * 255, 0, 255).astype(np.uint8)
    if rng.random() < 0.5:
        done, data = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(75, 96))])
        assert done
        image = np.asarray(cv2.imdecode(data, cv2.IMREAD_UNCHANGED), dtype=np.uint8)
    return image, centres


def _lit(depth: Grey, rng: np.random.Generator, pitch: float) -> Grey:
    """Light walls, mouths that darken inwards; a lamp from one side lights the far wall of each tube."""
    inward = cv2.GaussianBlur(depth, (0, 0), 0.05 * pitch)
    floor = 1.0 - rng.uniform(0.25, 0.8)
    steep = rng.uniform(0.05, 0.14)
    shade = floor + (1 - floor) / (1 + np.exp(inward / steep * 2.0))
    slope = np.stack([cv2.Sobel(inward, cv2.CV_64F, 1, 0), cv2.Sobel(inward, cv2.CV_64F, 0, 1)]) * pitch / 8.0
    turn = rng.uniform(0, 2 * np.pi)
    facing = np.clip(np.cos(turn) * slope[0] + np.sin(turn) * slope[1], -1.5, 1.5)
    rim = np.exp(-((inward / 0.12) ** 2))
    shade = shade + rng.uniform(0.0, 0.18) * facing * rim
    patchy = 1.0 + 0.06 * cloud(rng, len(depth), 6 * pitch) + 0.02 * cloud(rng, len(depth), 0.4 * pitch)
    patchy += (
        rng.uniform(0.0, 0.06) * cloud(rng, len(depth), 0.15 * pitch) * (inward > 0)
    )  # the tubes' own grain
    glints = (rng.random(depth.shape) < rng.uniform(0, 0.08) / pitch**2) & (np.abs(inward) < 0.08)
    glow = cv2.GaussianBlur(glints.astype(float), (0, 0), 0.05 * pitch) * 2 * np.pi * (0.05 * pitch) ** 2
    return np.asarray(np.clip(shade, 0.02, 1.3) * patchy + rng.uniform(0.2, 0.8) * np.minimum(glow, 1.0))


def _focused(grey: Grey, rng: np.random.Generator, blur: float) -> Grey:
    """Blurred by `blur` px at one side of the picture and by up to half as much again at the other."""
    near = cv2.GaussianBlur(grey, (0, 0), blur)
    far = cv2.GaussianBlur(grey, (0, 0), blur * rng.uniform(1.0, 1.5))
    turn = rng.uniform(0, 2 * np.pi)
    y, x = np.mgrid[-1 : 1 : len(grey) * 1j, -1 : 1 : len(grey) * 1j]  # type: ignore[misc]
    share = np.clip(0.5 + 0.5 * (np.cos(turn) * x + np.sin(turn) * y), 0, 1)
    return np.asarray(near * (1 - share) + far * share)


def _strew(grey: Grey, rng: np.random.Generator, pitch: float) -> None:
    """Debris drawn onto the surface: specks light and dark, a few hairs, now and then a larger crumb."""
    size = len(grey)
    area = (size / pitch) ** 2
    for _ in range(rng.poisson(area * rng.uniform(0, 0.02))):
        at = tuple(int(c) for c in rng.uniform(0, size, 2))
        axes = tuple(max(1, int(pitch * r)) for r in rng.uniform(0.08, 0.45, 2))
        cv2.ellipse(
            grey, at, axes, rng.uniform(0, 180), 0, 360, float(rng.uniform(0.1, 1.2)), -1, cv2.LINE_AA
        )
    for _ in range(rng.poisson(area * rng.uniform(0, 0.003))):
        start, step = rng.uniform(0, size, 2), rng.normal(0, pitch, 2)
        bend = turned(rng.normal(0, 0.2))
        points = [start]
        for _ in range(6):
            step = bend @ step
            points.append(points[-1] + step)
        cv2.polylines(
            grey, [np.array(points, np.int32)], False, float(rng.uniform(0.1, 1.2)), max(1, int(0.08 * pitch))
        )
    for _ in range(rng.poisson(0.3)):
        at = tuple(int(c) for c in rng.uniform(0, size, 2))
        axes = tuple(int(pitch * r) for r in rng.uniform(0.8, 2.0, 2))
        cv2.ellipse(
            grey, at, axes, rng.uniform(0, 180), 0, 360, float(rng.uniform(0.2, 1.0)), -1, cv2.LINE_AA
        )


def _keystone(rng: np.random.Generator, size: int) -> NDArray[np.float64]:
    """A slight perspective left over: scale that runs up to 1.5 % each way across the patch; true in the middle."""
    middle = (size - 1) / 2
    tilt = rng.uniform(-0.015, 0.015, 2) / middle
    there = np.array([[1, 0, -middle], [0, 1, -middle], [0, 0, 1]], float)
    lean = np.array([[1, 0, 0], [0, 1, 0], [tilt[0], tilt[1], 1]], float)
    return np.asarray(np.linalg.inv(there) @ lean @ there)
