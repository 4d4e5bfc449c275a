"""Photos of the scale card for the tests of the measuring room: drawn by the bench, small, and seen from a known place."""

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import KINDS
from ledger.measuring.detect import CardView, find_card
from ledger.measuring.plane import Plane
from tests.bench.card_camera import Camera, Setup
from tests.bench.card_scene import Look, opened, photograph

SIZE = (1600, 1200)
FOCAL = 0.76 * SIZE[0]  # what the measuring room takes for usual
LOOK = Look(ground="stone", blur=0.8, shake=0.0, noise=1.0, white=230, numbered=True)


def setup(
    kind: str = "small",
    *,
    tilt: float = 0.0,
    turn: float = 0.3,
    far: float = 260.0,
    bend: float = 0.0,
    off: float = 60.0,
) -> Setup:
    """The card's middle `off` px right of the picture's, `far` mm away, turned by `turn`; the camera tilted about x."""
    a = math.radians(tilt)
    about_x = np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]])
    camera = Camera(about_x, far * np.array([off / FOCAL, 0.0, 1.0]), FOCAL, size=SIZE)
    cos, sin = math.cos(turn), math.sin(turn)
    half = np.array(KINDS[kind].centre_mm) @ np.array([[cos, sin], [-sin, cos]])
    return Setup(camera, KINDS[kind], -half, turn, bend)


def picture(scene: Setup, look: Look = LOOK, *, covered: int | None = None) -> NDArray[np.uint8]:
    return opened(photograph(scene, look, np.random.default_rng(3), covered=covered))


@cache
def straight_view() -> CardView:
    """A view from straight above, found once for all tests that only measure in it."""
    view = find_card(picture(setup()))
    assert isinstance(view, CardView)
    return view


def as_seen(scene: Setup, card_mm: NDArray[np.float64]) -> list[list[float]]:
    """Where the photo shows points of the card."""
    seen: list[list[float]] = scene.camera.seen(scene.card_to_plane(card_mm)).tolist()
    return seen


def made_view(
    matrix: NDArray[np.float64], *, share: float = 0.0, covariance: NDArray[np.float64] | None = None
) -> CardView:
    """A view that nobody found: `matrix` 3 x 3 takes mm from the card's middle to px; its fit is perfect unless said."""
    rows = (matrix / matrix[2, 2]).ravel()[:8]
    plane = Plane(rows, np.zeros((8, 8)) if covariance is None else covariance, (0.0, 0.0))
    return CardView("small", plane, SIZE, (0, 1, 2, 3), 0.1, 0.2, 1.0, 1.0, 1.0, share)
