"""Views as JSON and back: what is kept with a photo, so that a length can be taken again in ten years."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ledger.measuring.card import KINDS
from ledger.measuring.plane import Plane
from ledger.measuring.ruler import RulerView
from ledger.measuring.view import CardView

_RULER = "ruler"


class BrokenView(ValueError):
    """The kept view cannot be read; the sentence says where."""


def as_json(view: CardView | RulerView) -> dict[str, Any]:
    """The view as plain values. Numbers keep all their digits: a length comes out the same to the last."""
    kept: dict[str, Any] = {
        "kind": view.kind if isinstance(view, CardView) else _RULER,
        "parameters": view.plane.parameters.tolist(),
        "origin_mm": list(view.plane.origin_mm),
        "size_px": list(view.size_px) if view.size_px else None,
        "share": view.share,
        "plane_share": view.plane_share,
    }
    if isinstance(view, RulerView):
        return kept | {"ends_px": [list(end) for end in view.ends_px], "ruler_mm": view.ruler_mm}
    return kept | {
        "covariance": view.plane.covariance.tolist(),
        "markers": list(view.markers),
        "residual_px": view.residual_px,
        "worst_px": view.worst_px,
        "misfit": view.misfit,
        "blur_px": view.blur_px,
        "printed_mm_per_mm": view.printed_mm_per_mm,
    }


def from_json(kept: Mapping[str, Any]) -> CardView | RulerView:
    """The view as it was. Raises BrokenView."""
    try:
        return _read(kept)
    except (KeyError, TypeError, ValueError) as problem:
        raise BrokenView(
            f"The scale kept with this photo cannot be read ({problem}). Look for the card again."
        ) from problem


def card_corners(kept: Mapping[str, Any]) -> list[list[float]] | None:
    """The four corners of the cut card in px of the photo, to be drawn; None where the scale is a ruler's."""
    view = from_json(kept)
    if isinstance(view, RulerView):
        return None
    return [[round(float(x), 1), round(float(y), 1)] for x, y in view.corners_px]


def _read(kept: Mapping[str, Any]) -> CardView | RulerView:
    is_ruler = kept["kind"] == _RULER
    covariance = np.zeros((8, 8)) if is_ruler else np.array(kept["covariance"], dtype=np.float64)
    parameters = np.array(kept["parameters"], dtype=np.float64)
    if parameters.shape != (8,) or covariance.shape != (8, 8):
        raise ValueError("a map of another shape")
    if not (np.all(np.isfinite(parameters)) and np.all(np.isfinite(covariance))):
        raise ValueError("numbers that are none")
    plane = Plane(parameters, covariance, (float(kept["origin_mm"][0]), float(kept["origin_mm"][1])))
    size = kept["size_px"]
    size_px = (int(size[0]), int(size[1])) if size else None
    share, plane_share = _number(kept["share"]), _number(kept["plane_share"])
    if is_ruler:
        (ax, ay), (bx, by) = kept["ends_px"]
        ends = ((_number(ax), _number(ay)), (_number(bx), _number(by)))
        return RulerView(plane, ends, _number(kept["ruler_mm"]), share, size_px, plane_share)
    if kept["kind"] not in KINDS or size_px is None:
        raise ValueError("a card of no known kind")
    return CardView(
        kind=kept["kind"],
        plane=plane,
        size_px=size_px,
        markers=tuple(int(marker) for marker in kept["markers"]),
        residual_px=_number(kept["residual_px"]),
        worst_px=_number(kept["worst_px"]),
        misfit=_number(kept["misfit"]),
        blur_px=_number(kept["blur_px"]),
        printed_mm_per_mm=_number(kept["printed_mm_per_mm"]),
        share=share,
        plane_share=plane_share,
    )


def _number(raw: Any) -> float:
    number = float(raw)
    if not math.isfinite(number):
        raise ValueError("a number that is none")
    return number
