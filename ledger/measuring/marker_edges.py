"""One marker, looked at closely: its four edges to a fraction of a pixel, whether it is that marker, and how sharp it is.

The marker is straightened by the map known so far. Across each edge the grey falls from paper to ink; the middle of the
fall (the centroid of its slope, which noise and blur do not shift) is taken in many places along the edge, a straight line
laid through them, and the corners are where two lines meet. So each corner rests on a hundred places instead of one.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import MARKER_BITS, MODULES, Marker
from ledger.measuring.plane import Array

_ACROSS = MODULES + 2
_MOST_SAMPLES, _LEAST_SAMPLES = 180, 36  # along one side
_FROM, _TO = 0.5, _ACROSS - 0.5  # modules along an edge that are looked at: not its ends
_LEAST_FALL = 10.0  # levels of grey between paper and ink
_LEAST_SHARE = 0.7  # of the places along an edge must show the fall
_WRONG_BITS = 0
_BLURS = 2.5  # standard deviations of the spread on either side hold all but a hundredth of it
_WIDEST = 0.5  # modules either side, after the first look
_LEAST_CLEAN = 0.3  # of the places along an edge
_LEAST_PLACES = 8
_NEIGHBOURS = 2.4  # places share pixels with so many of their neighbours
_LOOKS = 3  # at an edge, each about the line found before


@dataclass(frozen=True, slots=True)
class Sighting:
    """A marker as it was found: corners (4, 2) in px as the card's table orders them; `blur_px` the standard deviation of
    its edges' spread; `side_px` its mean side; `u_px` the standard uncertainty of one coordinate of a corner, from how the
    places along an edge scatter about its line."""

    marker: Marker
    corners: Array
    blur_px: float
    side_px: float
    u_px: float


def look_closely(
    grey: NDArray[np.uint8], marker: Marker, mm_to_px: Array, *, reach: float
) -> Sighting | None:
    """Find the marker where `mm_to_px` (3 x 3) says it should be, or None where it is not, or is hidden in part.

    `reach` in modules: how far either side of its place an edge is looked for, at most 0.9.
    """
    corners = _mapped(mm_to_px, np.array(marker.corners_mm))
    side_px = float(np.mean(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)))
    if not np.isfinite(side_px) or side_px < 8:
        return None
    many = int(np.clip(round(side_px), _LEAST_SAMPLES, _MOST_SAMPLES))
    module = many / _ACROSS
    margin = round(1.3 * module)
    straight = _straightened(grey, marker, mm_to_px, many, margin)
    if straight is None or not _is_that(straight, marker.id, module, margin):
        return None
    half = max(2, round(reach * module))
    lines, spreads, scatters = [], [], []
    for turned in range(4):
        # Turned so that the edge in question is the left one: rows run along it, paper comes first.
        inside = np.rot90(_bits(marker.id), turned)[:, 0]
        edge = _edge(np.rot90(straight, turned), inside, module, margin, half)
        if edge is None:
            return None
        lines.append(edge[:2])
        spreads.append(edge[2])
        scatters.append(edge[3])
    found = _corners(lines, many) * (marker.side_mm / many) + (marker.x_mm, marker.y_mm)
    px_per_sample = side_px / many
    return Sighting(
        marker,
        _mapped(mm_to_px, found),
        float(np.median(spreads)) * px_per_sample,
        side_px,
        float(np.sqrt(np.mean(np.square(scatters)))) * px_per_sample,
    )


def outward(corners: Array) -> Array:
    """(4, 2): how the corners move when all four edges move outward by one px.

    Ink spreads in paper, and blurred paper eats into ink, since a camera's grey is no measure of light: all edges are
    found shifted alike. It makes squares larger or smaller about their middles, and must not be taken for scale.
    """
    along = np.roll(corners, -1, axis=0) - corners
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    normals = np.column_stack([along[:, 1], -along[:, 0]])
    if _turns_right(corners) < 0:
        normals = -normals
    pairs = [np.stack([normals[k - 1], normals[k]]) for k in range(4)]
    return np.array([np.linalg.solve(pair, np.ones(2)) for pair in pairs])


def _turns_right(corners: Array) -> float:
    x, y = corners.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _straightened(
    grey: NDArray[np.uint8], marker: Marker, mm_to_px: Array, many: int, margin: int
) -> NDArray[np.float32] | None:
    """The marker and a margin as a square of samples, sample k of a row lying at (k - margin + 0.5) / many of a side."""
    step = marker.side_mm / many
    first = (0.5 - margin) * step
    to_px = mm_to_px @ np.array([[step, 0, marker.x_mm + first], [0, step, marker.y_mm + first], [0, 0, 1]])
    last = many + 2.0 * margin - 1.0
    px = _mapped(to_px, np.array([[0.0, 0.0], [last, 0.0], [last, last], [0.0, last]]))
    if not np.all(np.isfinite(px)):
        return None
    left, top = np.floor(px.min(axis=0)).astype(int) - 1
    right, bottom = np.ceil(px.max(axis=0)).astype(int) + 2
    if left < 0 or top < 0 or right > grey.shape[1] or bottom > grey.shape[0]:
        return None
    cut = grey[top:bottom, left:right].astype(np.float32)
    side = many + 2 * margin
    how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    to_cut = np.array([[1.0, 0, -left], [0, 1, -top], [0, 0, 1]]) @ to_px
    return np.asarray(cv2.warpPerspective(cut, to_cut, (side, side), flags=how), dtype=np.float32)


def _is_that(straight: NDArray[np.float32], marker_id: int, module: float, margin: int) -> bool:
    """Whether the modules inside are those of the marker, and the border round them is ink."""
    cells = np.empty((_ACROSS, _ACROSS))
    for row in range(_ACROSS):
        for column in range(_ACROSS):
            (top, bottom), (left, right) = (
                (round(margin + (k + 0.3) * module), round(margin + (k + 0.7) * module))
                for k in (row, column)
            )
            cells[row, column] = straight[top:bottom, left:right].mean()
    wanted = np.zeros((_ACROSS, _ACROSS), dtype=bool)
    wanted[1:-1, 1:-1] = _bits(marker_id)
    ink, paper = cells[~wanted], cells[wanted]
    middle = (ink.mean() + paper.mean()) / 2
    wrong = int(np.sum((cells > middle) != wanted))
    return paper.mean() - ink.mean() > _LEAST_FALL and wrong <= _WRONG_BITS


def _bits(marker_id: int) -> NDArray[np.bool_]:
    return np.array([bit == "1" for bit in MARKER_BITS[marker_id]]).reshape(MODULES, MODULES)


def _edge(
    straight: NDArray[np.float32], inside: NDArray[np.bool_], module: float, margin: int, reach: int
) -> tuple[float, float, float, float] | None:
    """The left edge as a line x = a + b y, in samples from the marker's corner, its spread (standard deviation), and the
    standard uncertainty of the line at the marker's corners.

    First within `reach` of where it should be; then again within as much as the fall is wide, about where it was found:
    what lies farther off only adds noise, and a window about anything but the edge itself would draw it to its own middle.
    `inside` (4,) are the marker's modules along the border: a white one, blurred, reaches to the edge and shifts it, so
    the places before black ones are taken, if they are not too few.
    """
    rows = slice(round(margin + _FROM * module), round(margin + _TO * module))
    fall = -np.diff(straight[rows], axis=1)  # column k lies at k + 1 - margin
    y = np.arange(fall.shape[0]) + rows.start - margin + 0.5
    clean = ~np.pad(inside, 1)[np.minimum((y / module).astype(int), _ACROSS - 1)]
    if clean.mean() < _LEAST_CLEAN:
        clean[:] = True
    a, b, half = 0.0, 0.0, reach
    spread = u_end = 0.0
    for _ in range(_LOOKS):
        first = np.rint(a + b * y).astype(int) + margin - 1 - half
        columns = first[:, None] + np.arange(2 * half + 1)
        if columns.min() < 0 or columns.max() >= fall.shape[1]:
            return None
        near = np.take_along_axis(fall, columns, axis=1)
        at = columns + 1.0 - margin
        whole = near.sum(axis=1)
        good = clean & (whole > max(_LEAST_FALL, 0.5 * float(np.median(whole[clean]))))
        if good.sum() < max(_LEAST_PLACES, _LEAST_SHARE * clean.sum()):
            return None
        x = (near * at).sum(axis=1)[good] / whole[good]
        b, a, u_end = _line(y[good], x, module * _ACROSS)
        off = at - (a + b * y)[:, None]
        spread = float((near * off**2)[good].sum() / whole[good].sum())
        half = min(round(_WIDEST * module), max(2, round(_BLURS * float(np.sqrt(max(spread, 0.0))) + 1.0)))
    return a, b, float(np.sqrt(max(spread - 1 / 12, 0.0))), u_end


def _line(y: Array, x: Array, end: float) -> tuple[float, float, float]:
    """Slope and start of x over y, without the places that lie off by more than three times the usual, and the line's
    standard uncertainty at y = 0 and y = `end` (root mean square of the two)."""
    keep = np.ones(len(y), dtype=bool)
    b = a = u_end = 0.0
    for _ in range(2):
        middle_y, middle_x = y[keep].mean(), x[keep].mean()
        about = y[keep] - middle_y
        square = float(about @ about)
        b = float(about @ (x[keep] - middle_x)) / square
        a = float(middle_x - b * middle_y)
        off = np.abs(x - (a + b * y))
        ends = 1 / len(about) + ((end - middle_y) ** 2 + middle_y**2) / (2 * square)
        u_end = float(np.sqrt(np.mean(off[keep] ** 2) * ends * _NEIGHBOURS))
        keep = off <= max(3 * 1.4826 * float(np.median(off)), 0.05)
        if keep.sum() < _LEAST_PLACES:
            break
    return b, a, u_end


def _corners(lines: list[tuple[float, float]], many: int) -> Array:
    """Where neighbouring edges meet, in samples of the marker, upper left first and clockwise.

    Each line is x = a + b y in a frame turned so that its edge is the left one; turned by none, one, two and three
    quarters, those are the left, top, right and bottom edge.
    """
    left, top, right, bottom = (_unturned(a, b, turned, many) for turned, (a, b) in enumerate(lines))
    return np.array(
        [_meeting(*pair) for pair in ((left, top), (top, right), (right, bottom), (bottom, left))]
    )


def _unturned(a: float, b: float, turned: int, many: int) -> Array:
    """Two points of the line in the frame of the unturned marker."""
    points = np.array([[a, 0.0], [a + b * many, float(many)]])
    for _ in range(turned):
        # np.rot90 takes (x, y) to (y, many - x); this takes it back.
        points = np.column_stack([many - points[:, 1], points[:, 0]])
    return points


def _meeting(one: Array, other: Array) -> Array:
    along, across = one[1] - one[0], other[1] - other[0]
    share = np.linalg.solve(np.column_stack([along, -across]), other[0] - one[0])
    return np.asarray(one[0] + share[0] * along)


def _mapped(matrix: Array, points: Array) -> Array:
    flat = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(flat[:, :2] / flat[:, 2:])
