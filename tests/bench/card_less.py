"""Pictures without a scale card, some made to look like one: none may be taken for a card."""

from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import pypdfium2

from ledger.measuring.card import MARKER_BITS, MODULES
from ledger.paper.slips import DataSlip, print_slips
from ledger.traits.reference_files import read_vocabulary
from tests.bench.card_camera import random_setup
from tests.bench.card_grounds import GROUNDS, ground
from tests.bench.card_scene import Light, Picture, developed, opened, random_look

SIZE = (2400, 1800)
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
FOREIGN = (
    *("DICT_4X4_50", "DICT_4X4_1000", "DICT_5X5_250", "DICT_6X6_1000", "DICT_7X7_50"),
    *("DICT_ARUCO_ORIGINAL", "DICT_APRILTAG_36h11", "DICT_APRILTAG_16h5"),
)
KINDS_OF = (
    *GROUNDS,
    "foreign markers",
    "chessboard",
    "slips with codes",
    "one square of ours",
    "squares of ours, strewn",
)


def card_less(what: str, rng: np.random.Generator) -> Picture:
    """A picture of a ground, with something lying on it or not."""
    setup = random_setup(rng, size=SIZE)
    linear = ground(what if what in GROUNDS else str(rng.choice(GROUNDS)), setup.camera.homography, SIZE, rng)
    if what == "foreign markers":
        for _ in range(12):
            _lay(linear, _foreign(rng), rng)
    elif what == "chessboard":
        squares = np.kron(np.indices((9, 12)).sum(axis=0) % 2, np.ones((40, 40)))
        _lay(linear, squares.astype(np.float32), rng, least=0.4)
    elif what == "slips with codes":
        _lay(linear, _slip(), rng, least=0.6)
    elif what in KINDS_OF[-2:]:
        for marker in rng.choice(len(MARKER_BITS), 1 if what == KINDS_OF[-2] else 5, replace=False):
            _lay(linear, _framed(_marker(int(marker))), rng, least=0.06, most=0.15)
    return opened(developed(linear, random_look(rng), rng))


def all_kinds(seed: int, many: int) -> Iterator[tuple[str, Picture]]:
    for at in range(many):
        what = KINDS_OF[at % len(KINDS_OF)]
        yield what, card_less(what, np.random.default_rng([seed, at]))


def _lay(
    linear: Light, thing: Light, rng: np.random.Generator, least: float = 0.05, most: float = 0.8
) -> None:
    """A flat thing of reflected light into the picture, anywhere, turned and slanted; its longer side that share of the
    picture's width."""
    high, wide = thing.shape
    size = rng.uniform(least, most) * SIZE[0] if least > 0.3 else rng.uniform(least, min(most, 0.2)) * SIZE[0]
    scale = size / max(wide, high)
    turn = rng.uniform(0, 2 * np.pi)
    cos, sin = scale * np.cos(turn), scale * np.sin(turn)
    x, y = rng.uniform(0.2, 0.8, 2) * SIZE
    slant = rng.uniform(-0.3, 0.3, 2) / size
    to_middle = np.array([[1, 0, -wide / 2], [0, 1, -high / 2], [0, 0, 1.0]])
    matrix = np.array([[1, 0, x], [0, 1, y], [0, 0, 1.0]]) @ [[cos, -sin, 0], [sin, cos, 0], [0, 0, 1]]
    matrix = matrix @ np.array([[1, 0, 0], [0, 1, 0], [slant[0] * scale, slant[1] * scale, 1]]) @ to_middle
    shrunk = min(1.0, 1.4 * scale)
    if shrunk < 1.0:
        thing = cv2.resize(thing, None, fx=shrunk, fy=shrunk, interpolation=cv2.INTER_AREA)
        matrix = matrix @ np.diag([wide / thing.shape[1], high / thing.shape[0], 1.0])
    inside = cv2.warpPerspective(np.ones_like(thing), matrix, SIZE, flags=cv2.INTER_LINEAR)
    seen = cv2.warpPerspective(thing, matrix, SIZE, flags=cv2.INTER_LINEAR)
    linear *= 1.0 - inside
    linear += 0.9 * seen


def _foreign(rng: np.random.Generator) -> Light:
    name = str(rng.choice(FOREIGN))
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, name))
    marker = dictionary.generateImageMarker(int(rng.integers(dictionary.bytesList.shape[0])), 240)
    return _framed(marker.astype(np.float32) / 255)


def _marker(marker_id: int) -> Light:
    bits = np.array([int(bit) for bit in MARKER_BITS[marker_id]], np.float32).reshape(MODULES, MODULES)
    return np.kron(np.pad(bits, 1), np.ones((40, 40), np.float32))


def _framed(thing: Light) -> Light:
    return np.pad(thing, thing.shape[0] // 6, constant_values=1.0)


@cache
def _slip() -> Light:
    """A data slip of the house, with its code and the pictures to tick."""
    slip = DataSlip(number="AT 57", finder="Ada Thorne", code="https://ledger.example.org/q/AT-57")
    vocabulary = read_vocabulary(FIXTURES / "traits.json")
    pdf = print_slips([slip] * 4, vocabulary, "a4", made_at=datetime(2026, 9, 4, tzinfo=UTC)).pdf
    assert pdf is not None
    page = np.asarray(pypdfium2.PdfDocument(pdf)[0].render(scale=200 / 72, grayscale=True).to_numpy())
    return (page.reshape(page.shape[0], page.shape[1]).astype(np.float32) / 255) ** 2
