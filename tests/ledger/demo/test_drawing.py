"""The drawn photographs show what they say they show."""

import io
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from random import Random

import numpy as np
import pytest
from PIL import Image, ImageChops, ImageFilter, ImageStat

from ledger.demo.beside import Beside
from ledger.demo.brushes import scale_card
from ledger.demo.caps import Outline
from ledger.demo.drawing import (
    FRAME,
    CapSpec,
    Shot,
    UndersideSpec,
    WoodSpec,
    cap_outline,
    cap_px_per_mm,
    draw_cap,
    draw_underside,
    draw_wood,
    underside_px_per_mm,
)
from ledger.demo.undersides import KINDS, pore_centres
from ledger.measuring.code_box import flat_code_box
from ledger.measuring.detect import CardView, find_card
from ledger.photos.codes import numbers_in
from ledger.photos.derivatives import make
from ledger.photos.exif import read_facts

BROWN = ((92, 70, 58), (150, 104, 62), (74, 52, 44))
CAP = CapSpec(58, 36, BROWN)
SHOT = Shot(
    taken_at=datetime.fromisoformat("2025-10-04T14:05:06"),
    utc_offset_minutes=120,
    latitude=-33.925,
    longitude=-0.001475,
    error_m=4.5,
    altitude_m=-12.5,
    direction_deg=271.25,
)


def opened(data) -> Image.Image:
    return Image.open(io.BytesIO(data))


def dark_spots_in(window: Image.Image) -> int:
    """Connected dark spots of a grey picture, run by run; those on the right or lower border are left out.

    That border rule makes the number unbiased for the area (Gundersen's counting frame, 1977; from memory).
    """
    around = window.filter(ImageFilter.BoxBlur(14))
    dark = ImageChops.subtract(around, window, 1, 0).point([255 if v > 42 else 0 for v in range(256)])
    pixels, (width, height) = dark.tobytes(), dark.size
    parent: list[int] = []

    def root(n: int) -> int:
        while parent[n] != n:
            n = parent[n]
        return n

    above: list[tuple[int, int, int]] = []
    area, outside = {}, set()
    for y in range(height):
        row, runs, x = pixels[y * width : (y + 1) * width], [], 0
        while (begin := row.find(b"\xff", x)) >= 0:
            x = row.find(b"\0", begin)
            x = width if x < 0 else x
            parent.append(name := len(parent))
            runs.append((begin, x, name))
            area[name] = x - begin
            if x == width or y == height - 1:
                outside.add(name)
            for a, b, other in above:
                if a < x and begin < b:
                    parent[root(other)] = root(name)
        above = runs
    total: dict[int, int] = {}
    for name, size in area.items():
        total[root(name)] = total.get(root(name), 0) + size
    barred = {root(name) for name in outside}
    return sum(size >= 8 for name, size in total.items() if name not in barred)


@pytest.mark.parametrize(("per_mm", "seed"), [(1.0, 1), (2.5, 2), (4.0, 3), (6.0, 4), (8.0, 5)])
def test_the_pores_counted_are_those_asked_for(per_mm, seed):
    spec = UndersideSpec("pores", 90, 60, per_mm)
    px = underside_px_per_mm(spec)
    window = opened(draw_underside(spec, seed)).convert("L").crop((220, 60, 820, 460))
    counted = (dark_spots_in(window) / (600 * 400)) ** 0.5 * px
    assert counted == pytest.approx(per_mm, rel=0.03)


def test_the_net_of_pores_has_one_point_for_each_square_of_the_spacing():
    inside = [p for p in pore_centres(Random(1), (1200, 900), 12.5) if 0 <= p[0] < 1200 and 0 <= p[1] < 900]
    assert len(inside) == pytest.approx(1200 * 900 / 12.5**2, rel=0.01)


@pytest.mark.parametrize("px_per_mm", [4.7, 14.56, 90.0])
def test_the_ticks_of_the_card_are_a_millimetre_apart(px_per_mm):
    card = scale_card(10, px_per_mm).convert("L")
    row = [card.getpixel((x, 5)) for x in range(card.width)]
    # Centre of gravity of the darkness of each tick, within half a tick's distance of where it stands.
    first, last = (
        sum(x * (255 - row[x]) for x in span if row[x] < 160)
        / sum(255 - row[x] for x in span if row[x] < 160)
        for span in (
            range(4, round(8 + px_per_mm / 2)),
            range(round(card.width - 8 - px_per_mm / 2), card.width - 4),
        )
    )
    assert (last - first) / 10 == pytest.approx(px_per_mm, rel=0.01)


@pytest.mark.parametrize("seed", range(5))
def test_a_cap_is_as_wide_and_long_as_asked(seed):
    outline = Outline(Random(seed), (640, 240), 700, 450, 0.05)
    left, _, right, bottom = outline.mask(FRAME).point([0] * 128 + [255] * 128).getbbox()
    assert right - left == pytest.approx(700, rel=0.02)
    assert bottom - 240 == pytest.approx(450, rel=0.02)


def test_a_point_of_an_outline_is_found_again():
    outline = Outline(Random(3), (640, 240), 700, 450, 0.05)
    assert outline.polar(*outline.point(1.1, 0.7)) == pytest.approx((1.1, 0.7))


@pytest.mark.parametrize(
    "draw",
    [
        lambda seed: draw_cap(CAP, seed, SHOT),
        lambda seed: draw_underside(UndersideSpec("teeth", 40, 26, 1.8), seed, SHOT),
        lambda seed: draw_wood(WoodSpec(), seed, SHOT),
    ],
)
def test_the_same_seed_draws_the_same_bytes_and_another_does_not(draw):
    assert draw(7) == draw(7)
    assert draw(7) != draw(8)


@pytest.mark.parametrize("kind", KINDS)
def test_every_underside_fits_the_frame_and_the_limit_of_bytes(kind):
    data = draw_underside(UndersideSpec(kind, 60, 40, 1.5), 1, SHOT)
    assert opened(data).size == FRAME
    assert len(data) < 250_000


def test_undersides_of_different_kinds_look_different():
    tiny = [
        opened(draw_underside(UndersideSpec(kind, 40, 26, 1.5), 1)).convert("L").crop((400, 300, 900, 600))
        for kind in KINDS
    ]
    for i, a in enumerate(tiny):
        for b in tiny[i + 1 :]:
            assert ImageStat.Stat(ImageChops.difference(a, b)).mean[0] > 6


@pytest.mark.parametrize(
    ("surface", "bark"),
    [
        ("velvety", "furrowed"),
        ("hairy", "smooth"),
        ("rough", "birch"),
        ("smooth", "flaky"),
        ("hairy", "flaky"),
    ],
)
def test_every_cap_and_bark_fits_the_limit_of_bytes(surface, bark):
    data = draw_cap(CapSpec(35, 24, BROWN, surface=surface, bark=bark), 1)
    assert len(data) < 250_000


def test_the_scale_is_as_asked_or_fits_the_cap():
    assert cap_px_per_mm(CapSpec(58, 36, BROWN, px_per_mm=9.5)) == 9.5
    assert cap_px_per_mm(CAP) * 58 <= FRAME[0]


def test_the_camera_facts_are_read_back():
    facts = read_facts(draw_cap(CAP, 1, SHOT))
    assert facts.warnings == ()
    assert (facts.taken_at, facts.utc_offset_minutes) == (SHOT.taken_at, 120)
    assert (facts.latitude, facts.longitude) == pytest.approx((SHOT.latitude, SHOT.longitude), abs=2e-8)
    assert (facts.error_m, facts.altitude_m, facts.direction_deg) == (4.5, -12.5, 271.25)
    assert facts.gps_utc == facts.taken_at_utc
    assert (facts.camera_make, facts.orientation) == ("Drawn", 1)


def test_without_a_shot_there_is_no_exif():
    assert b"Exif" not in draw_wood(WoodSpec(), 1)


@lru_cache
def upright_log() -> bytes:
    return draw_wood(WoodSpec(), 1, Shot())


@pytest.mark.parametrize("orientation", range(2, 9))
def test_a_turned_shot_is_upright_when_its_orientation_is_obeyed(orientation):
    upright = opened(make(upright_log(), 320))
    turned = opened(make(draw_wood(WoodSpec(), 1, Shot(orientation=orientation)), 320))
    assert turned.size == upright.size
    assert ImageStat.Stat(ImageChops.difference(turned, upright)).mean[0] < 4


def test_an_unknown_underside_is_refused_by_name():
    with pytest.raises(ValueError, match="'honeycomb' is no kind of underside"):
        draw_underside(UndersideSpec("honeycomb", 40, 26), 1)


def test_a_printed_card_beside_the_cap_gives_its_scale_and_number():
    spec = replace(CAP, px_per_mm=6.0)
    grey = np.asarray(
        Image.open(io.BytesIO(draw_cap(spec, 3, None, Beside(card=True, number="MR 11")))).convert("L")
    )
    view = find_card(grey)
    assert isinstance(view, CardView)
    assert 1 / view.mm_per_px == pytest.approx(6.0, rel=0.005)
    assert numbers_in([flat_code_box(grey, view), grey]) == ("MR 11",)


def test_a_slip_beside_the_underside_can_be_read():
    spec = UndersideSpec("pores", 60, 40, per_mm=4.0)
    picture = Image.open(io.BytesIO(draw_underside(spec, 4, None, Beside(number="MR 11"))))
    assert numbers_in([np.asarray(picture.convert("L"))]) == ("MR 11",)


def test_a_larger_frame_shows_more_at_the_same_scale():
    spec = UndersideSpec("pores", 60, 40, per_mm=2.0, px_per_mm=12.0, frame=(2080, 1560))
    assert Image.open(io.BytesIO(draw_underside(spec, 5))).size == (2080, 1560)


def test_the_widest_reach_of_the_drawn_cap_is_its_width():
    left, right = cap_outline(CAP, 7).widest
    assert right[0] - left[0] == pytest.approx(CAP.width_mm * cap_px_per_mm(CAP), abs=0.01)
