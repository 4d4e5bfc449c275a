"""What the page's script asks, read into plain values: bad points end here with a sentence."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ledger.finds.models import Photo
from ledger.measures.choices import TRAITS_OF
from ledger.measures.models import Measurement
from ledger.measures.taking import CannotMeasure
from ledger.photos.upright import upright_size
from ledger.record.visible import one_line
from ledger.words import Said, say

WAYS = (*Measurement.Way.values, "ruler")
MOST_POINTS = 600
ABOVE_MM = (-200.0, 200.0)
_FAR_PX = 1e9


@dataclass(frozen=True, slots=True)
class Asked:
    """Points are pixels of the upright original; a patch is its corner and its size."""

    way: str
    points: tuple[tuple[float, float], ...]
    trait: str
    above_mm: float
    ruler_mm: float
    note: str
    is_sure: bool  # was asked about what differs, and said yes


def read_asked(body: Mapping[str, Any], photo: Photo) -> Asked:
    """Raises CannotMeasure with a sentence for the person."""
    if body.get("way") not in WAYS:
        raise CannotMeasure(
            say("The page asked for something that does not exist. Load it again; nothing was kept.")
        )
    way = body["way"]
    points = _points(body.get("points"), photo, is_patch=way == Measurement.Way.COUNT)
    if len(points) < 2 or (len(points) > 2 and way != Measurement.Way.TAPS):
        raise CannotMeasure(say("Two points are needed. Those that were put stay; put the other."))
    trait = body.get("trait", "")
    if trait not in TRAITS_OF.get(way, ("",)):
        raise CannotMeasure(say("That is not measured this way. Choose again; the points stay."))
    note = body.get("note", "")
    return Asked(
        way=way,
        points=points,
        trait=trait,
        above_mm=_number(body.get("above_mm"), say("How far above the plane"), *ABOVE_MM)
        if way == "line"
        else 0.0,
        ruler_mm=_number(body.get("ruler_mm"), say("The length on the ruler"), 0.0, 1e6)
        if way == "ruler"
        else 0.0,
        note=one_line(note) if isinstance(note, str) else "",
        is_sure=body.get("sure") is True,
    )


def _points(raw: Any, photo: Photo, *, is_patch: bool) -> tuple[tuple[float, float], ...]:
    if not isinstance(raw, list) or len(raw) > MOST_POINTS:
        raise CannotMeasure(
            say("At most {most} points can be put. Begin again with fewer.", most=MOST_POINTS)
        )
    width, height = upright_size(photo.width, photo.height, photo.orientation)
    points = []
    for pair in raw:
        if not isinstance(pair, list) or len(pair) != 2 or not all(_finite(number) for number in pair):
            raise CannotMeasure(say("A point did not arrive whole. They stay on the page; try again."))
        x, y = float(pair[0]), float(pair[1])
        if not (0 <= x <= width and 0 <= y <= height):
            raise CannotMeasure(say("A point lies beside the photo. Move it into the photo."))
        points.append((x, y))
    far = (
        [corner + side for corner, side in zip(*points, strict=True)]
        if is_patch and len(points) == 2
        else [0, 0]
    )
    if far[0] > width + 1 or far[1] > height + 1:
        raise CannotMeasure(say("The patch reaches beyond the photo. Mark it within."))
    return tuple(points)


def _finite(number: Any) -> bool:
    """A number of a size that a photo can have. Whole numbers of JSON may be longer than any float."""
    is_number = isinstance(number, int | float) and not isinstance(number, bool)
    return is_number and abs(number) < _FAR_PX


def _number(raw: Any, what: Said, low: float, high: float) -> float:
    text = str(raw if raw is not None else "").strip().replace(",", ".")
    if not text:
        return 0.0
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not low <= number <= high:
        raise CannotMeasure(
            say(
                "{what} is not a number of mm that can be: “{typed}”. The points stay; type it again.",
                what=what,
                typed=text[:20],
            )
        )
    return number
