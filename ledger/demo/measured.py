"""Finds photographed with the printed scale card, and what is measured on their photos, so that the demo shows measuring."""

import random
from dataclasses import replace
from datetime import datetime

from ledger.demo.beside import Beside
from ledger.demo.drawing import CapSpec, UndersideSpec, cap_outline
from ledger.demo.making import Maker
from ledger.demo.planned import PlannedFind, PlannedMeasure, PlannedPhoto
from ledger.finds.entries import ReadingEntry

# Close enough to count such pores, with room for the card beside; pixels as a small camera would give.
_CAP_FRAME, _CAP_PX_PER_MM = (1560, 1170), 7.5
_UNDERSIDE_FRAME, _UNDERSIDE_PX_PER_MM = (2080, 1560), 15.0
_WIDTH_MM, _LENGTH_MM, _PER_MM = 80.0, 52.0, 1.6
# Corner and size of flat patches well inside the fertile side, px.
_PATCHES = (
    ((650.0, 340.0), (240.0, 260.0), "left"),
    ((910.0, 320.0), (240.0, 260.0), "middle"),
    ((1170.0, 340.0), (240.0, 260.0), "right"),
)


def measured_finds(maker: Maker) -> list[PlannedFind]:
    return [a_bracket_beside_its_card(maker)]


def a_bracket_beside_its_card(maker: Maker) -> PlannedFind:
    """The cap is measured on one photo, its pores are counted on the other; a curator measures the width anew."""
    scene = maker.scene
    kind, finder = scene.kinds["Trametes gibbosa"], next(p for p in scene.people if p.sign_in_name == "joan")
    made = maker.find(
        kind,
        wood=scene.woods["Upper Cawl Bank"],
        tree="beech",
        finder=finder,
        found=datetime(2026, 10, 24, 11, 40),  # noqa: DTZ001  (the finder's own clock)
        outing=None,
        wood_state="fallen log",
    )
    by_eye = ReadingEntry("cap_width", values=(_WIDTH_MM,), unit="mm", resolution=10.0, typed="80")
    left_out = ("pores_per_mm", "cap_length", "cap_thickness")
    readings = {code: entry for code, entry in made.readings.items() if code not in left_out} | {
        "cap_width": by_eye
    }
    cap, underside = made.photos[:2]
    cap = _with_card(cap, maker.cap(kind, readings))
    underside = _with_card(underside, maker.underside(kind, readings))
    return replace(
        made,
        readings=readings,
        photos=(cap, underside),
        measures=(*_on_the_cap(cap), *_on_the_underside()),
        spores=_spores(),
    )


def _spores() -> tuple[tuple[float, float], ...]:
    """Thirty invented spores, read to 0.1 µm, about as large as those of the taxon are documented."""
    draw = random.Random("thirty spores of a bracket beside its card")
    return tuple((round(draw.gauss(4.8, 0.3), 1), round(draw.gauss(2.25, 0.14), 1)) for _ in range(30))


def _with_card(photo: PlannedPhoto, spec: CapSpec | UndersideSpec) -> PlannedPhoto:
    if isinstance(spec, CapSpec):
        small = {"width_mm": _WIDTH_MM, "length_mm": _LENGTH_MM, "companions": 1}
        drawn: CapSpec | UndersideSpec = replace(spec, px_per_mm=_CAP_PX_PER_MM, frame=_CAP_FRAME, **small)
    else:
        drawn = replace(
            spec, kind="pores", per_mm=_PER_MM, width_mm=_WIDTH_MM, length_mm=_LENGTH_MM,
            px_per_mm=_UNDERSIDE_PX_PER_MM, frame=_UNDERSIDE_FRAME,
        )  # fmt: skip
    return replace(photo, spec=drawn, beside=Beside(card=True))


def _on_the_cap(photo: PlannedPhoto) -> tuple[PlannedMeasure, ...]:
    """The widest and the longest reach; each hand points a pixel or two beside."""
    assert isinstance(photo.spec, CapSpec)
    outline = cap_outline(photo.spec, photo.seed)
    left, right = outline.widest
    foot, tip = (outline.farthest[0], outline.centre[1]), outline.farthest
    level = (left[1] + right[1]) / 2
    width = PlannedMeasure("cap", "line", "cap_width", ((left[0] + 1.0, level), (right[0] - 0.5, level)))
    again = ((left[0] - 2.5, level + 4.0), (right[0] + 2.0, level - 3.0))
    return (
        width,
        PlannedMeasure("cap", "line", "cap_length", (foot, (tip[0], tip[1] - 1.0))),
        replace(width, points=again, by_curator=True),
    )


def _on_the_underside() -> tuple[PlannedMeasure, ...]:
    return tuple(
        PlannedMeasure("underside", "count", "pores_per_mm", (corner, size), note)
        for corner, size, note in _PATCHES
    )
