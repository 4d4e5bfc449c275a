"""Finds the scale card on a photo: markers on the reduced picture first, then each one closely on the whole."""

import math
from itertools import combinations
from typing import Any, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

from ledger.measuring.card import KINDS, MARKER_BITS, MODULES, CardKind, kind_of
from ledger.measuring.marker_edges import Sighting, look_closely, outward
from ledger.measuring.plane import Array, Fit, fit_plane
from ledger.measuring.view import U_LENS, U_PRINTED, CardView, NoCard
from ledger.words import Said, say

__all__ = ["CardView", "NoCard", "find_card"]

Grey = NDArray[np.uint8]

# Long sides in px to which the picture is reduced for the first look, and for a second one if that saw nothing.
_FIRST_LOOK_PX, _SECOND_LOOK_PX = 1000, 2000
_CLOSER_SIDE_PX = 70.0  # a marker's side in the third look, of the card's surroundings alone
_LEAST_MARKERS = 2
_LEAST_SIDE_PX = 20.0
_LEAST_PHOTO_PX = 100
_MOST_OFF = (
    0.12  # of a marker's side: squares that lie farther from their places are no card, or a crumpled one
)
# Of a corner, px: what stays however little noise there is. From the tuning seeds of make bench-photos.
_FLOOR_PX = 0.06
_BLURRED = 1.5  # of `_sharpness`: below, a photo as a whole is blurred


class _Seen(NamedTuple):
    id: int
    corners: Array  # (4, 2), px of the whole picture


def find_card(
    grey: Grey, *, printed_mm_per_mm: float = 1.0, u_printed: float = U_PRINTED, u_lens: float = U_LENS
) -> CardView | NoCard:
    """Find a scale card on a photo, (h, w) of uint8, upright or not; at any size, but its details must show.

    `printed_mm_per_mm`: how many mm the print made of one (the measured check line over 50); `u_printed` its relative
    standard uncertainty, `u_lens` that of a lens that is not quite straight. Of several cards the one with most markers in
    view serves. ValueError for anything that is no such picture or scale.
    """
    if grey.ndim != 2 or grey.dtype != np.uint8:
        raise ValueError("A picture is (h, w) of uint8.")
    if not (0.5 < printed_mm_per_mm < 2.0 and 0 <= u_printed < 0.5 and 0 <= u_lens < 0.5):
        raise ValueError(
            "The print makes 0.5 to 2 mm of one; its uncertainty and the lens's are 0 to 0.5 of it."
        )
    if min(grey.shape) < _LEAST_PHOTO_PX:
        return NoCard(say("The photo is too small: a scale card cannot be seen in it."))
    seen: list[_Seen] = []
    group = None
    for long_side in (_FIRST_LOOK_PX, _SECOND_LOOK_PX):
        step = max(1, round(max(grey.shape) / long_side))
        seen += _markers_in(grey, step)
        group = _group(seen)
        if step == 1 or (group is not None and len(group.seen) >= _LEAST_MARKERS):
            break
    if group is None:
        return NoCard(_why_none(grey))
    if len(group.seen) < len(group.kind.markers):
        group = _looked_again(grey, group)
    sightings = _closely(grey, group)
    if len(sightings) < _LEAST_MARKERS:
        return NoCard(_why_few(group, sightings))
    return _view(grey, group.kind, sightings, printed_mm_per_mm, math.hypot(u_printed, u_lens))


# --- the first look ---


def _detector() -> Any:
    bits = [
        np.array([int(bit) for bit in row], dtype=np.uint8).reshape(MODULES, MODULES) for row in MARKER_BITS
    ]
    rows = [cv2.aruco.Dictionary.getByteListFromBits(one) for one in bits]
    dictionary = cv2.aruco.Dictionary(np.concatenate(rows), MODULES, 2)
    how = cv2.aruco.DetectorParameters()
    how.adaptiveThreshWinSizeMin = 11
    how.adaptiveThreshWinSizeMax = 31
    how.adaptiveThreshWinSizeStep = 20
    how.minMarkerPerimeterRate = 0.035
    how.polygonalApproxAccuracyRate = 0.05
    how.errorCorrectionRate = 0.5
    how.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    return cv2.aruco.ArucoDetector(dictionary, how)


def _markers_in(grey: Grey, step: int) -> list[_Seen]:
    """Markers of our own on the picture reduced by a whole step, in px of the whole one."""
    if step > 1:
        size = grey.shape[1] // step, grey.shape[0] // step
        # A whole step: other sizes are resampled several times slower, and shift what they show.
        grey = np.asarray(
            cv2.resize(grey[: size[1] * step, : size[0] * step], size, interpolation=cv2.INTER_AREA)
        )
    corners, ids, _ = _detector().detectMarkers(grey)
    if ids is None:
        return []
    return [
        _Seen(int(marker), (np.asarray(four, dtype=np.float64).reshape(4, 2) + 0.5) * step - 0.5)
        for marker, four in zip(np.asarray(ids).ravel(), corners, strict=True)
    ]


class _Group(NamedTuple):
    """Markers that lie to each other as on one card, and the map (3 x 3, mm to px) that says so."""

    kind: CardKind
    seen: tuple[_Seen, ...]
    mm_to_px: Array


def _group(seen: list[_Seen]) -> _Group | None:
    """The most markers that agree on one card; of as many, the larger ones."""
    best: _Group | None = None
    for kind in KINDS.values():
        ours = [one for one in seen if (own := kind_of(one.id)) is not None and own.code == kind.code]
        starts = [*combinations(ours, 2), *((one,) for one in ours)]
        for start in starts[:200]:
            group = _agreeing(kind, start, ours)
            if group is not None and (best is None or _rank(group) > _rank(best)):
                best = group
            if best is not None and len(best.seen) == len(best.kind.markers) == len(seen):
                return best  # one whole card, and nothing else to choose from
    return best


def _rank(group: _Group) -> tuple[int, float]:
    return len(group.seen), sum(_side(one.corners) for one in group.seen)


def _agreeing(kind: CardKind, start: tuple[_Seen, ...], ours: list[_Seen]) -> _Group | None:
    if len({one.id for one in start}) < len(start):
        return None
    matrix = _map_of(kind, start)
    if matrix is None or any(_apart(kind, matrix, one) > 0.15 for one in start):
        return None
    agreeing: dict[int, _Seen] = {}
    for one in sorted(ours, key=lambda one: _apart(kind, matrix, one), reverse=True):
        if _apart(kind, matrix, one) < 0.3:
            agreeing[one.id] = one
    chosen = tuple(agreeing.values())
    better = _map_of(kind, chosen)
    return None if better is None else _Group(kind, chosen, better)


def _map_of(kind: CardKind, seen: tuple[_Seen, ...]) -> Array | None:
    places = {marker.id: marker.corners_mm for marker in kind.markers}
    mm = np.array([corner for one in seen for corner in places[one.id]])
    px = np.concatenate([one.corners for one in seen])
    matrix, _ = cv2.findHomography(mm, px, 0)
    if matrix is None or not np.all(np.isfinite(matrix)):
        return None
    return np.asarray(matrix, dtype=np.float64)


def _apart(kind: CardKind, matrix: Array, one: _Seen) -> float:
    """How far the marker's corners lie beside where the map puts them, as a share of its side."""
    corners = next(marker.corners_mm for marker in kind.markers if marker.id == one.id)
    put = cv2.perspectiveTransform(np.array(corners).reshape(1, 4, 2), matrix).reshape(4, 2)
    off = float(np.max(np.linalg.norm(put - one.corners, axis=1)) / _side(one.corners))
    return off if np.isfinite(off) else 1e9


def _side(corners: Array) -> float:
    return float(np.mean(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)))


def _looked_again(grey: Grey, group: _Group) -> _Group:
    """Where markers are missing: once more, on the card's surroundings alone, at a size that suits them."""
    around = cv2.perspectiveTransform(np.array(group.kind.corners_mm).reshape(1, 4, 2), group.mm_to_px)
    points = np.concatenate([around.reshape(4, 2), *(one.corners for one in group.seen)])
    side = float(np.mean([_side(one.corners) for one in group.seen]))
    # Seen from one marker only, the card's far corners may lie anywhere.
    reach = side / group.kind.markers[0].side_mm * max(group.kind.width_mm, group.kind.height_mm) * 1.5
    middle = np.mean(np.concatenate([one.corners for one in group.seen]), axis=0)
    low = np.maximum(np.maximum(points.min(axis=0) - 1.5 * side, middle - reach), 0).astype(int)
    high = np.minimum(np.minimum(points.max(axis=0) + 1.5 * side, middle + reach), grey.shape[::-1]).astype(
        int
    )
    cut = grey[low[1] : high[1], low[0] : high[0]]
    if min(cut.shape) < _LEAST_PHOTO_PX:
        return group
    step = max(1, round(side / _CLOSER_SIDE_PX))
    more = [_Seen(one.id, one.corners + low) for one in _markers_in(cut, step)]
    again = _group(more)
    return again if again is not None and len(again.seen) > len(group.seen) else group


# --- the close look ---


def _closely(grey: Grey, group: _Group) -> list[Sighting]:
    """Each marker's corners on the whole picture; three times, since each time says better where the others are."""
    matrix = group.mm_to_px
    wanted = [marker for marker in group.kind.markers if marker.id in {one.id for one in group.seen}]
    found: list[Sighting] = []
    for turn, reach in enumerate((0.8, 0.7)):
        found = [
            sighting
            for marker in (wanted if turn == 0 else group.kind.markers)
            if (sighting := look_closely(grey, marker, matrix, reach=reach)) is not None
        ]
        if not found:
            return []
        better = _map_of(group.kind, tuple(_Seen(one.marker.id, one.corners) for one in found))
        if better is None:
            return []
        matrix = better
    return [one for one in found if one.side_px >= _LEAST_SIDE_PX]


def _view(
    grey: Grey, kind: CardKind, sightings: list[Sighting], printed_mm_per_mm: float, share: float
) -> CardView | NoCard:
    fit = _fitted(kind, sightings, printed_mm_per_mm)
    side = min(one.side_px for one in sightings)
    if fit is None or np.max(np.abs(fit.residuals)) > _MOST_OFF * side:
        return NoCard(
            say("The black squares of the scale card do not lie as on a card. Is it folded, or a copy?")
        )
    return CardView(
        kind=kind.code,
        plane=fit.plane,
        size_px=(grey.shape[1], grey.shape[0]),
        markers=tuple(one.marker.id for one in sightings),
        residual_px=float(np.sqrt(np.mean(fit.residuals**2))),
        worst_px=float(np.max(np.linalg.norm(fit.residuals, axis=1))),
        misfit=fit.misfit,
        blur_px=float(np.median([one.blur_px for one in sightings])),
        printed_mm_per_mm=printed_mm_per_mm,
        share=share,
    )


def _fitted(kind: CardKind, sightings: list[Sighting], printed: float) -> Fit | None:
    mm = np.array([corner for one in sightings for corner in one.marker.corners_mm]) * printed
    px = np.concatenate([one.corners for one in sightings])
    try:
        middle = (kind.centre_mm[0] * printed, kind.centre_mm[1] * printed)
        ways = np.concatenate([outward(one.corners) for one in sightings])
        u_px = np.hypot(np.sqrt(np.mean([one.u_px**2 for one in sightings])), _FLOOR_PX)
        return fit_plane(mm, px, ways, middle, expected_px=float(u_px))
    except (ValueError, np.linalg.LinAlgError):
        return None


# --- why not ---


def _why_none(grey: Grey) -> Said:
    if _sharpness(grey) < _BLURRED:
        return say("No scale card was seen, and the photo is blurred. Take it again with the card in focus.")
    return say(
        "No scale card was seen. If one is there, go closer, so that it takes a sixth of the photo's width or more, "
        "and lay it flat and free."
    )


def _why_few(group: _Group, sightings: list[Sighting]) -> Said:
    side = float(np.mean([_side(one.corners) for one in group.seen]))
    if side < _LEAST_SIDE_PX:
        width = side / group.kind.markers[0].side_mm * group.kind.width_mm
        return say(
            "The scale card is too small in the photo: about {px} pixels wide. Go closer.", px=f"{width:.0f}"
        )
    if len(group.seen) >= _LEAST_MARKERS and not sightings:
        return say(
            "The scale card was seen, but it is too blurred or too dark to measure by. Take the photo again."
        )
    return say(
        "Only one black square of the scale card was seen; two are needed, all are better. "
        "Lay the card so that nothing covers it, whole in the photo."
    )


def _sharpness(grey: Grey) -> float:
    """Standard deviation of the second differences of the picture at half a million pixels, in levels of grey."""
    step = max(1, round((grey.size / 5e5) ** 0.5))
    return float(cv2.Laplacian(np.ascontiguousarray(grey[::step, ::step]), cv2.CV_32F).std())
