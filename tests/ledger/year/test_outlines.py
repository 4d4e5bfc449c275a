"""Outlines out of a topology: packed, simplified, and borders only where two countries meet."""

import json
from pathlib import Path

from ledger.year.outlines import outlines

ARCS = [[[0, 0], [10, 0], [0, 10], [-10, 0], [0, -10]], [[0, 0], [5, 0], [5, 0]]]
ROOT = Path(__file__).resolve().parents[3]


def _topology(**objects: object) -> dict[str, object]:
    return {"transform": {"scale": [1.0, 1.0], "translate": [0.0, 0.0]}, "arcs": ARCS, "objects": objects}


def _made() -> dict[str, object]:
    two = {"geometries": [{"arcs": [[0, 1]]}, {"arcs": [[~1]]}]}
    return outlines(
        _topology(countries=two, land={"geometries": [{"arcs": [[0]]}]}),
        _topology(lakes={"geometries": []}, rivers={"geometries": [{"arcs": [1]}]}),
    )


def test_land_is_a_closed_ring_of_steps() -> None:
    assert _made()["land"] == [[0, 0, 1000, 0, 0, 1000, -1000, 0, 0, -1000]]


def test_a_border_is_what_two_countries_share_and_is_straightened() -> None:
    assert _made()["borders"] == [[0, 0, 1000, 0]]


def test_the_vendored_outlines_lie_on_earth() -> None:
    made = json.loads((ROOT / "static/vendor/natural-earth/outlines.json").read_text())
    for kind in ("land", "lakes", "rivers", "borders"):
        assert made[kind]
        for line in made[kind]:
            longitude = latitude = 0
            for east, north in zip(line[::2], line[1::2], strict=True):
                longitude, latitude = longitude + east, latitude + north
                assert abs(longitude) <= 18000 and abs(latitude) <= 9000
