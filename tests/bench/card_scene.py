"""Photographs of the scale card, drawn: the PDF's raster on a ground, uneven light, blur, noise and JPEG."""

import io
import math
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image

from ledger.measuring.card import KINDS
from ledger.paper.papers import PAPERS
from ledger.paper.scale_card import ScaleCard, places_on, print_cards
from tests.bench.card_camera import HEIGHT, WIDTH, Points, Setup
from tests.bench.card_grounds import GROUNDS, ground

Picture = NDArray[np.uint8]
Light = NDArray[np.float32]
JPEG_QUALITY = 75
_DPI = {"small": 1200, "large": 600}


@dataclass(frozen=True)
class Look:
    """How the picture was taken: the ground, blur (px, standard deviation), shake (px, length), noise (levels of grey)."""

    ground: str
    blur: float
    shake: float
    noise: float
    white: float  # level of the card's paper in full light
    numbered: bool


def random_look(rng: np.random.Generator) -> Look:
    return Look(
        ground=str(rng.choice(GROUNDS)),
        blur=rng.uniform(0.6, 3.0),
        shake=rng.uniform(2.0, 8.0) if rng.random() < 0.25 else 0.0,
        noise=rng.uniform(1.0, 8.0),
        white=rng.uniform(120, 250),
        numbered=rng.random() < 0.5,
    )


def photograph(setup: Setup, look: Look, rng: np.random.Generator, *, covered: int | None = None) -> bytes:
    """The JPEG, in grey: a colour one holds the same luminance. `covered`: a marker that something lies on."""
    linear = ground(look.ground, setup.camera.homography, setup.camera.size, rng)
    _lay(linear, setup, _raster(setup.kind.code, look.numbered))
    if covered is not None:
        _cover(linear, setup, covered)
    linear *= _uneven_light(setup.camera.size, rng)
    return developed(linear, look, rng)


def developed(linear: Light, look: Look, rng: np.random.Generator) -> bytes:
    """Light to a JPEG: blurred while still light, then a camera's curve (its square root), noise, and rounding."""
    blurred = cv2.GaussianBlur(linear, (0, 0), look.blur)
    if look.shake:
        blurred = cv2.filter2D(blurred, -1, _shaken(look.shake, rng.uniform(0, math.pi)))
    levels = cv2.sqrt(np.maximum(blurred, 0.0)) * look.white
    levels += look.noise * _grain(rng, levels.shape)
    picture = np.clip(levels + 0.5, 0, 255).astype(np.uint8)
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=JPEG_QUALITY)
    return out.getvalue()


def opened(jpeg: bytes) -> Picture:
    return np.asarray(Image.open(io.BytesIO(jpeg)).convert("L"))


@cache
def sheet(kind: str, numbered: bool) -> bytes:
    """A printed sheet as PDF, each card with a number and its code or free."""
    many = len(places_on(KINDS[kind], PAPERS["a4"]))
    card = ScaleCard(number="AT 58", code="https://ledger.example.org/q/AT-58") if numbered else ScaleCard()
    made_at = datetime(2026, 9, 4, tzinfo=UTC)
    pdf = print_cards(kind, "a4", cards=[card] * many, institution="Hollin Fungus Group", made_at=made_at).pdf
    assert pdf is not None
    return pdf


@cache
def _raster(kind: str, numbered: bool) -> Light:
    """The first card of a sheet, cut out exactly, as reflected light (0 black ink, 1 paper)."""
    dots = _DPI[kind] / 25.4
    left, top = places_on(KINDS[kind], PAPERS["a4"])[0]
    page = pypdfium2.PdfDocument(sheet(kind, numbered))[0]
    whole = np.asarray(page.render(scale=_DPI[kind] / 72, grayscale=True).to_numpy())
    whole = whole.reshape(whole.shape[0], whole.shape[1])
    wide, high = round(KINDS[kind].width_mm * dots), round(KINDS[kind].height_mm * dots)
    # Cut by a warp, since the cut falls between dots.
    shift = np.array([[1, 0, left * dots], [0, 1, top * dots]])
    cut = cv2.warpAffine(whole, shift, (wide, high), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    return np.asarray((cut.astype(np.float32) / 255) ** 2 * np.float32(0.94) + np.float32(0.03))


def _lay(linear: Light, setup: Setup, raster: Light) -> None:
    """Draw the card into the picture, each of its pixels where the camera sees it."""
    kind = setup.kind
    edge = _outline(kind.width_mm, kind.height_mm)
    seen = setup.camera.seen(setup.card_to_plane(edge))
    x0, y0 = np.maximum(np.floor(seen.min(axis=0)).astype(int) - 3, 0)
    x1, y1 = np.minimum(np.ceil(seen.max(axis=0)).astype(int) + 4, setup.camera.size)
    # Shrink first to a little finer than the picture, so that nothing is lost between two dots.
    finest = _px_per_mm(setup) * 1.4
    small = _shrunk(raster, min(1.0, finest * kind.width_mm / raster.shape[1]))
    dots = small.shape[1] / kind.width_mm, small.shape[0] / kind.height_mm
    part = linear[y0:y1, x0:x1]
    paper, inside = (_flat if not setup.bend and not setup.camera.bulge else _warped)(
        setup, small, dots, (x0, y0), part.shape
    )
    part += inside * (paper - part)


def _flat(
    setup: Setup, small: Light, dots: tuple[float, float], at: tuple[int, int], shape: tuple[int, ...]
) -> list[Light]:
    """The card and its coverage, by one homography."""
    corners = np.array(setup.kind.corners_mm)
    seen = setup.camera.seen(setup.card_to_plane(corners)) - np.array(at)
    warp = cv2.getPerspectiveTransform((corners * dots - 0.5).astype(np.float32), seen.astype(np.float32))
    return [
        cv2.warpPerspective(one, warp, (shape[1], shape[0]), flags=cv2.INTER_LINEAR, borderMode=border)
        for one, border in ((small, cv2.BORDER_REPLICATE), (np.ones_like(small), cv2.BORDER_CONSTANT))
    ]


def _warped(
    setup: Setup, small: Light, dots: tuple[float, float], at: tuple[int, int], shape: tuple[int, ...]
) -> list[Light]:
    """The same of a bent card or through a bulging lens: by the place on the card of each pixel.

    Worked out at every eighth pixel and between by straight lines, which is right to a hundredth of a pixel.
    """
    nodes_x, nodes_y = (
        np.arange(0, size + _NODES, _NODES, dtype=np.float64) for size in (shape[1], shape[0])
    )
    grid = np.stack(np.meshgrid(nodes_x + at[0], nodes_y + at[1]), axis=-1)
    card = _on_card(setup, grid.reshape(-1, 2)).reshape(grid.shape)
    down, across = _between(shape[0], len(nodes_y)), _between(shape[1], len(nodes_x))
    map_x, map_y = ((down @ (card[..., k] * dots[k] - 0.5) @ across.T).astype(np.float32) for k in (0, 1))
    return [
        cv2.remap(one, map_x, map_y, cv2.INTER_LINEAR, borderMode=border)
        for one, border in ((small, cv2.BORDER_REPLICATE), (np.ones_like(small), cv2.BORDER_CONSTANT))
    ]


_NODES = 8


def _between(many: int, nodes: int) -> Points:
    """(many, nodes): the shares with which the two nodes next to each pixel count."""
    return np.maximum(0.0, 1.0 - np.abs(np.arange(many)[:, None] / _NODES - np.arange(nodes)[None, :]))


def _on_card(setup: Setup, pixels: Points) -> Points:
    """Pixels to mm on the card. A bent one is met by iteration: where the ray would be at the height found before."""
    flat = setup.camera.on_plane(pixels)
    if not setup.bend:
        return setup.plane_to_card(flat)
    eye = setup.camera.eye
    plane = flat
    for _ in range(5):
        height = setup.height(setup.plane_to_card(plane) * setup.printed)
        plane = flat + (eye[:2] - flat) * (height / -eye[2])[:, None]
    return setup.plane_to_card(plane)


def _px_per_mm(setup: Setup) -> float:
    """The largest scale anywhere on the card."""
    edge = _outline(setup.kind.width_mm, setup.kind.height_mm)
    here, there = (setup.camera.seen(setup.card_to_plane(one)) for one in (edge, edge + [0.5, 0.0]))
    across, _ = (setup.camera.seen(setup.card_to_plane(one)) for one in (edge + [0.0, 0.5], edge))
    return 2.0 * float(
        max(np.linalg.norm(there - here, axis=1).max(), np.linalg.norm(across - here, axis=1).max())
    )


def _outline(width: float, height: float) -> Points:
    along = np.linspace(0, 1, 9)
    return np.array([(x * width, y * height) for x in along for y in along])


def _shrunk(raster: Light, share: float) -> Light:
    if share >= 1.0:
        return raster
    size = max(2, round(raster.shape[1] * share)), max(2, round(raster.shape[0] * share))
    return np.asarray(cv2.resize(raster, size, interpolation=cv2.INTER_AREA))


def _cover(linear: Light, setup: Setup, at: int) -> None:
    """Something brown and round lies on a marker."""
    marker = setup.kind.markers[at]
    middle = np.array([[marker.x_mm + marker.side_mm / 2, marker.y_mm + marker.side_mm / 2]])
    around = [[math.cos(a), math.sin(a)] for a in np.linspace(0, 2 * math.pi, 60, endpoint=False)]
    seen = setup.camera.seen(setup.card_to_plane(middle + 0.6 * marker.side_mm * np.array(around)))
    cv2.fillPoly(linear, [np.round(seen).astype(np.int32)], 0.12)


def _uneven_light(size: tuple[int, int], rng: np.random.Generator) -> Light:
    """A slope, darker corners, and in every third picture a soft shadow: never below 0.15 of full light."""
    x, y = np.meshgrid(np.linspace(-1, 1, 160), np.linspace(-0.75, 0.75, 120))
    way, strength = rng.uniform(0, 2 * math.pi), rng.uniform(0, 0.45)
    light = 1.0 + strength * (x * math.cos(way) + y * math.sin(way) - 1.0)
    light *= 1.0 - rng.uniform(0, 0.3) * (x**2 + y**2)
    if rng.random() < 0.33:
        turn, place, soft = rng.uniform(0, 2 * math.pi), rng.uniform(-0.5, 0.5), rng.uniform(0.03, 0.4)
        edge = 1 / (1 + np.exp(-(x * math.cos(turn) + y * math.sin(turn) - place) / soft))
        light *= 1.0 - rng.uniform(0.2, 0.7) * edge
    field = cv2.resize(np.maximum(light, 0.15).astype(np.float32), size, interpolation=cv2.INTER_LINEAR)
    return np.asarray(field)


def _shaken(length: float, way: float) -> Light:
    side = 2 * math.ceil(length / 2) + 3
    at = np.arange(side) - side // 2
    x, y = np.meshgrid(at, at)
    along, beside = x * math.cos(way) + y * math.sin(way), y * math.cos(way) - x * math.sin(way)
    inside = np.clip(length / 2 + 0.5 - np.abs(along), 0, 1) * np.clip(1 - np.abs(beside), 0, 1)
    return np.asarray((inside / inside.sum()).astype(np.float32))


@cache
def _noise_tile() -> Light:
    return np.random.default_rng(7).standard_normal((HEIGHT + 512, WIDTH + 512)).astype(np.float32)


def _grain(rng: np.random.Generator, shape: tuple[int, ...]) -> Light:
    """A random window of one large field of noise: drawing 12 million numbers a picture would take longest of all."""
    top, left = rng.integers(0, 512, 2)
    window = _noise_tile()[top : top + shape[0], left : left + shape[1]]
    return window[:: rng.choice([-1, 1]), :: rng.choice([-1, 1])]
