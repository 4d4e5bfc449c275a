"""A pinhole camera over a plane with a scale card on it: where each millimetre of plane and card falls on the picture.

Shares no code with ledger/measuring/ but the card's table. Pixels: a pixel's own centre is a whole number. The plane is
z = 0 with x and y in mm as the card has them (y down), so that z leads away from the camera.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import KINDS, CardKind

Points = NDArray[np.float64]
WIDTH, HEIGHT = 4000, 3000  # 12 megapixels


@dataclass(frozen=True)
class Camera:
    """`turn` 3 x 3 and `shift` take a point of the plane's space (mm) to the camera's; `focal` px; `bulge` is the radial
    lens distortion: at the corner of the picture points lie that share of their distance from the middle further out."""

    turn: Points
    shift: Points
    focal: float
    bulge: float = 0.0
    size: tuple[int, int] = (WIDTH, HEIGHT)

    @property
    def middle(self) -> Points:
        return np.array([(self.size[0] - 1) / 2, (self.size[1] - 1) / 2])

    def seen(self, points: Points) -> Points:
        """(n, 3) points in mm to (n, 2) pixels."""
        at = points @ self.turn.T + self.shift
        flat = at[:, :2] / at[:, 2:] * self.focal
        return self._bulged(flat) + self.middle

    def on_plane(self, pixels: Points, height: float = 0.0) -> Points:
        """(n, 2) pixels to (n, 2) points in mm of the plane so high above ours; the bulge is undone by iteration."""
        wanted = np.asarray(pixels, dtype=np.float64) - self.middle
        flat = wanted.copy()
        for _ in range(20 if self.bulge else 0):
            flat += wanted - self._bulged(flat)
        rays = np.column_stack([flat / self.focal, np.ones(len(flat))]) @ self.turn
        eye = -self.turn.T @ self.shift
        far = (-height - eye[2]) / rays[:, 2]
        return np.asarray(eye[:2] + rays[:, :2] * far[:, None])

    @property
    def homography(self) -> Points:
        """3 x 3, plane in mm to pixels, without the bulge."""
        x, y = self.middle
        lens = np.array([[self.focal, 0, x], [0, self.focal, y], [0, 0, 1]])
        return np.asarray(lens @ np.column_stack([self.turn[:, 0], self.turn[:, 1], self.shift]))

    @property
    def tilt_deg(self) -> float:
        return math.degrees(math.acos(min(1.0, abs(self.turn[2, 2]))))

    @property
    def eye(self) -> Points:
        """The camera's own place (x, y, z) in mm; -z is its distance from the plane."""
        return np.asarray(-self.turn.T @ self.shift)

    def _bulged(self, flat: Points) -> Points:
        if not self.bulge:
            return flat
        far = np.sum(flat**2, axis=1, keepdims=True) / float(np.sum(self.middle**2))
        return flat * (1.0 + self.bulge * far)


@dataclass(frozen=True)
class Setup:
    """A camera, and a card of `kind` whose upper left corner lies at `corner` on the plane, turned by `angle`.

    `bend` in mm is how high the middle of the card stands above its two short edges; `printed` how many mm the print made
    of one.
    """

    camera: Camera
    kind: CardKind
    corner: Points
    angle: float
    bend: float = 0.0
    printed: float = 1.0

    def card_to_plane(self, card: Points) -> Points:
        """(n, 2) card mm, as the table has them, to (n, 3) mm; arc and chord of so slight a bend are taken as equal."""
        flat = np.asarray(card, dtype=np.float64) * self.printed
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        turned = flat @ np.array([[cos, sin], [-sin, cos]]) + self.corner
        return np.column_stack([turned, -self.height(flat)])

    def plane_to_card(self, plane: Points) -> Points:
        cos, sin = math.cos(self.angle), math.sin(self.angle)
        return np.asarray(plane - self.corner) @ np.array([[cos, -sin], [sin, cos]]) / self.printed

    def height(self, flat: Points) -> Points:
        """Of points of the card in mm as printed, above the plane."""
        across = np.clip(flat[:, 0] / (self.kind.width_mm * self.printed), 0.0, 1.0)
        return np.asarray(self.bend * 4.0 * across * (1.0 - across))


def random_setup(
    rng: np.random.Generator,
    *,
    most_tilt: float = 40.0,
    bulge: float = 0.0,
    bend: float = 0.0,
    u_printed: float = 0.0,
    size: tuple[int, int] = (WIDTH, HEIGHT),
) -> Setup:
    """Tilt to `most_tilt` degrees any way, the card turned any way and wholly in the picture, its long side 15 to 40 % of
    the picture's width as seen; three of four cards are small ones."""
    kind = KINDS["small" if rng.random() < 0.75 else "large"]
    printed = 1.0 + rng.normal(0.0, 1.0) * u_printed
    share = rng.uniform(0.15, 0.40)
    tilt, way, roll = (
        math.radians(rng.uniform(0, most_tilt)),
        rng.uniform(0, 2 * math.pi),
        rng.uniform(0, 2 * math.pi),
    )
    focal = rng.uniform(0.70, 0.95) * size[0]
    turn = _about_z(roll) @ _about_x(tilt) @ _about_z(way)
    while True:
        # The card's middle lies on the ray through this pixel, as far off as makes it the wanted size.
        pixel = rng.uniform(0.1, 0.9, 2) * size
        angle = rng.uniform(0, 2 * math.pi)
        far = 300.0
        for _ in range(8):
            ray = np.append((pixel - (np.array(size) - 1) / 2) / focal, 1.0)
            camera = Camera(turn, far * ray, focal, bulge, size)
            setup = _placed(kind, camera, angle, bend, printed)
            left, right = setup.camera.seen(setup.card_to_plane(_ENDS * [kind.width_mm, kind.height_mm]))
            far *= float(np.linalg.norm(right - left)) / (share * size[0])
        seen = setup.camera.seen(setup.card_to_plane(np.array(kind.corners_mm)))
        if np.all(seen > 15) and np.all(seen < np.array(size) - 15):
            return setup


_ENDS = np.array([[0.0, 0.5], [1.0, 0.5]])


def _placed(kind: CardKind, camera: Camera, angle: float, bend: float, printed: float) -> Setup:
    """The card with its middle on the origin of the plane."""
    cos, sin = math.cos(angle), math.sin(angle)
    half = np.array(kind.centre_mm) * printed @ np.array([[cos, sin], [-sin, cos]])
    return Setup(camera, kind, -half, angle, bend, printed)


def _about_x(a: float) -> Points:
    return np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]])


def _about_z(a: float) -> Points:
    return np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]])
