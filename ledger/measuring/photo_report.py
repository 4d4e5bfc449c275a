"""All that can be measured on one photo, as plain values: the card, lengths along lines, pores in patches."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ledger.measuring.detect import find_card
from ledger.measuring.lengths import NotInPlane, measure
from ledger.measuring.pores import PoreCount, PoresRefused, combine, count_pores
from ledger.measuring.rectify import rectified
from ledger.measuring.text import with_uncertainty
from ledger.measuring.view import CardView, NoCard

Line = tuple[float, float, float, float]  # x1, y1, x2, y2 in px of the upright photo
Patch = tuple[float, float, float, float]  # x, y, width, height

_NO_SCALE = "No scale, so nothing was measured."


def photo_report(
    grey: NDArray[np.uint8],
    *,
    lines: Sequence[Line],
    patches: Sequence[Patch],
    printed_mm_per_mm: float,
    pointing_px: float,
) -> dict[str, Any]:
    """What `find_card`, `measure` and `count_pores` say of a photo, (h, w) of uint8, ready for JSON.

    Whatever could not be had is there with its reason: `card.found` false and `card.why`; a line or patch with `why`.
    Uncertainties begin with `u_` and are standard ones (k = 1); the texts give expanded ones (k = 2).
    """
    view = find_card(grey, printed_mm_per_mm=printed_mm_per_mm)
    counted = [_patch(grey, view, patch) for patch in patches]
    counts = [count for _, count in counted if count is not None]
    return {
        "photo": {"width": grey.shape[1], "height": grey.shape[0]},
        "card": _card(view),
        "lines": [_line(view, line, pointing_px) for line in lines],
        "patches": [told for told, _ in counted],
        "pores": _together(counts, view) if counts and isinstance(view, CardView) else None,
    }


def _card(view: CardView | NoCard) -> dict[str, Any]:
    if isinstance(view, NoCard):
        return {"found": False, "why": view.why}
    return {
        "found": True,
        "kind": view.kind,
        "mm_per_px": view.mm_per_px,
        "u_mm_per_px": view.u_mm_per_px,
        "px_per_mm": 1.0 / view.mm_per_px,
        "tilt_deg": view.tilt_deg,
        "blur_px": view.blur_px,
        "markers_seen": len(view.markers),
        "corners_px": np.round(view.corners_px, 2).tolist(),
        "printed_mm_per_mm": view.printed_mm_per_mm,
        "good_to": view.good_to,
        "sentences": [view.summary, *view.sentences],
    }


def _line(view: CardView | NoCard, line: Line, pointing_px: float) -> dict[str, Any]:
    told: dict[str, Any] = {"line": list(line)}
    if isinstance(view, NoCard):
        return told | {"why": _NO_SCALE}
    try:
        length = measure(view, line[:2], line[2:], pointing_px=pointing_px)
    except NotInPlane as why:
        return told | {"why": str(why)}
    return told | {
        "mm": length.mm,
        "u_mm": length.u_mm,
        "scale_mm": length.scale_mm,
        "pointing_mm": length.pointing_mm,
        "plane_mm": length.plane_mm,
        "text": with_uncertainty(length.mm, 2 * length.u_mm, "mm"),
    }


def _patch(
    grey: NDArray[np.uint8], view: CardView | NoCard, patch: Patch
) -> tuple[dict[str, Any], PoreCount | None]:
    told: dict[str, Any] = {"patch": list(patch)}
    if isinstance(view, NoCard):
        return told | {"why": _NO_SCALE}, None
    try:
        flat = rectified(grey, view, patch)
    except NotInPlane as why:
        return told | {"why": str(why)}, None
    told |= {"px_per_mm": flat.px_per_mm}
    count = count_pores(flat.patch, px_per_mm=flat.px_per_mm, u_px_per_mm=flat.u_px_per_mm)
    if isinstance(count, PoresRefused):
        return told | {
            "why": count.sentence,
            "reason": count.why,
            "px_per_pore": count.px_per_pore,
            "need_px_per_mm": count.need_px_per_mm,
        }, None
    return told | {
        "per_mm": count.per_mm,
        "u_per_mm": count.u_per_mm,
        "spacing_mm": count.spacing_mm,
        "u_spacing_mm": count.u_spacing_mm,
        "n": count.n,
        "px_per_pore": count.px_per_pore,
        "centres_px": [
            [round(coordinate, 1) for coordinate in flat.back(centre)] for centre in count.centres
        ],
        "text": count.sentence,
    }, count


def _together(counts: Sequence[PoreCount], view: CardView) -> dict[str, Any]:
    """The patches share one card, so that its uncertainty does not shrink with their number."""
    whole = combine(counts, u_scale=view.u_mm_per_px / view.mm_per_px)
    return {
        "low": whole.low,
        "high": whole.high,
        "mean": whole.mean,
        "u_mean": whole.u,
        "n": whole.n,
        "counts": whole.counts,
        "written": whole.written,
        "text": whole.sentence,
    }
