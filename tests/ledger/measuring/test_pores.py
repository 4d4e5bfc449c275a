"""Pores per mm on drawn patches: counted where they can be, refused where not. The many pictures are in the report."""

import numpy as np
import pytest

from ledger.measuring.pores import LEAST_PX_PER_PORE, PoreCount, PoresRefused, count_pores
from tests.bench.pore_images import PORES, SPOILERS, Wanted, picture


def counted(wanted: Wanted) -> PoreCount:
    shown = picture(wanted)
    answer = count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
    assert isinstance(answer, PoreCount), answer.sentence
    return answer


def refused(wanted: Wanted) -> PoresRefused:
    shown = picture(wanted)
    answer = count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
    assert isinstance(answer, PoresRefused), answer.sentence
    return answer


@pytest.mark.parametrize("kind", PORES)
@pytest.mark.parametrize(("px", "per_mm"), [(10.0, 8.0), (14.0, 5.0), (22.0, 3.0), (34.0, 2.0)])
def test_pores_of_known_number_are_counted_within_ten_in_a_hundred(
    kind: str, px: float, per_mm: float
) -> None:
    answer = counted(Wanted(kind, 11, per_mm=per_mm, px_per_pore=px, across=18))
    assert answer.per_mm == pytest.approx(per_mm, rel=0.1)
    assert abs(answer.per_mm - per_mm) < 3 * answer.u_per_mm


@pytest.mark.parametrize("kind", SPOILERS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_has_no_whole_pores_is_refused(kind: str, seed: int) -> None:
    answer = refused(Wanted(kind, seed, px_per_pore=16, across=20))
    assert answer.why in ("plain", "oblique", "unclosed", "unlike", "magnification")
    assert answer.sentence


def test_slanting_mouths_are_named_as_such() -> None:
    assert refused(Wanted("oblique", 4, px_per_pore=20, across=20)).why == "oblique"


@pytest.mark.parametrize("px", [5.0, 6.0, 7.0])
def test_below_the_limit_it_says_how_close_the_photo_must_be(px: float) -> None:
    answer = refused(Wanted("angular", 5, per_mm=6.0, px_per_pore=px, across=40))
    assert answer.why == "magnification"
    assert answer.px_per_pore == pytest.approx(px, rel=0.1)
    assert answer.need_px_per_mm is not None
    assert LEAST_PX_PER_PORE * 6.0 <= answer.need_px_per_mm < 1.3 * LEAST_PX_PER_PORE * 6.0
    assert f"{answer.need_px_per_mm:.0f} pixels per mm" in answer.sentence


def test_the_count_rests_on_the_whole_pores_in_its_window() -> None:
    answer = counted(Wanted("angular", 6, px_per_pore=16, across=20))
    left, top, width, height = answer.window
    assert answer.n == len(answer.centres)
    assert all(left <= x <= left + width and top <= y <= top + height for x, y in answer.centres)
    assert f"{answer.n} whole pores" in answer.sentence


def test_found_centres_lie_where_the_pores_were_drawn() -> None:
    shown = picture(Wanted("round", 7, px_per_pore=18, across=20))
    answer = count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=shown.u_px_per_mm)
    assert isinstance(answer, PoreCount)
    found = np.array(answer.centres)
    apart = np.hypot(*(found[:, None] - shown.centres[None]).transpose(2, 0, 1)).min(axis=1)
    assert np.quantile(apart, 0.95) < 0.25 * 18


def test_the_edge_of_the_patch_makes_no_difference() -> None:
    """Many small patches of one field give on average what the field has: no pore is counted twice or left out."""
    shown = picture(Wanted("unequal", 8, per_mm=4.0, px_per_pore=14, across=50, clean=True))
    side, values = 200, []
    for top in range(0, shown.image.shape[0] - side, 90):
        for left in range(0, shown.image.shape[1] - side, 90):
            part = np.ascontiguousarray(shown.image[top : top + side, left : left + side])
            answer = count_pores(part, px_per_mm=4.0 * 14, u_px_per_mm=0.0)
            if isinstance(answer, PoreCount):
                values.append(answer.per_mm)
    assert len(values) >= 20
    assert np.mean(values) == pytest.approx(4.0, rel=0.02)


def test_colour_and_grey_give_the_same() -> None:
    grey = picture(Wanted("angular", 9, px_per_pore=16, across=16, clean=True)).image
    one = count_pores(grey, px_per_mm=64, u_px_per_mm=0.3)
    three = count_pores(np.stack([grey] * 3, axis=-1), px_per_mm=64, u_px_per_mm=0.3)
    assert isinstance(one, PoreCount)
    assert isinstance(three, PoreCount)
    assert three.per_mm == pytest.approx(one.per_mm, rel=1e-3)


def test_the_scale_s_uncertainty_is_part_of_the_whole() -> None:
    image = picture(Wanted("angular", 9, px_per_pore=16, across=16, clean=True)).image
    sure = count_pores(image, px_per_mm=64, u_px_per_mm=0.0)
    unsure = count_pores(image, px_per_mm=64, u_px_per_mm=3.2)
    assert isinstance(sure, PoreCount)
    assert isinstance(unsure, PoreCount)
    assert sure.scale_share == 0.0
    assert unsure.scale_share == pytest.approx(0.05)
    assert unsure.u_per_mm**2 == pytest.approx(sure.u_per_mm**2 + (0.05 * sure.per_mm) ** 2)
    assert unsure.u_spacing_mm / unsure.spacing_mm == pytest.approx(unsure.u_per_mm / unsure.per_mm)


def test_the_same_patch_gives_the_same_count() -> None:
    shown = picture(Wanted("unequal", 12, px_per_pore=14, across=15))
    answers = [count_pores(shown.image, px_per_mm=shown.px_per_mm, u_px_per_mm=0.1) for _ in range(2)]
    assert answers[0] == answers[1]


def test_a_patch_of_few_pores_says_how_large_one_is_wanted() -> None:
    answer = refused(Wanted("angular", 13, per_mm=2.0, px_per_pore=40, across=4.9))
    assert answer.why in ("few", "plain")
    assert refused(Wanted("angular", 13, per_mm=2.0, px_per_pore=40, across=5.5, clean=True)).why == "few"


@pytest.mark.parametrize("value", [0, 127, 255])
def test_a_plain_patch_shows_no_pores(value: int) -> None:
    answer = count_pores(np.full((200, 300), value, np.uint8), px_per_mm=40, u_px_per_mm=0.4)
    assert isinstance(answer, PoresRefused)
    assert answer.why == "plain"
    assert answer.need_px_per_mm is not None


def test_noise_alone_shows_no_pores() -> None:
    noise = np.random.default_rng(1).integers(0, 256, (300, 300)).astype(np.uint8)
    assert isinstance(count_pores(noise, px_per_mm=40, u_px_per_mm=0.4), PoresRefused)


def test_a_photo_that_would_not_show_the_finest_pores_says_so() -> None:
    wanted = Wanted("maze", 2, per_mm=2.0, px_per_pore=16, across=20)
    far = refused(wanted)
    assert far.need_px_per_mm == 80
    assert "up to 4.0 pores per mm would show" in far.sentence
    near = count_pores(picture(wanted).image, px_per_mm=90.0, u_px_per_mm=0.5)
    assert isinstance(near, PoresRefused)
    assert near.need_px_per_mm is None


@pytest.mark.parametrize("shape", [(1, 1), (31, 400), (400, 31), (0, 0), (1, 1, 3)])
def test_a_patch_of_hardly_any_pixels_is_refused(shape: tuple[int, ...]) -> None:
    answer = count_pores(np.zeros(shape, np.uint8), px_per_mm=40, u_px_per_mm=0.4)
    assert isinstance(answer, PoresRefused)
    assert answer.why == "patch"


def test_a_patch_beyond_the_bound_is_counted_in_its_middle() -> None:
    tile = picture(Wanted("angular", 14, per_mm=4.0, px_per_pore=12, across=50)).image
    tile = tile if tile.ndim == 2 else tile[:, :, 0]
    large = np.tile(np.hstack([tile, tile[:, ::-1]]), (4, 2))
    large[600:1200] = large[600:1200][::-1]
    answer = count_pores(large, px_per_mm=48, u_px_per_mm=0.2)
    assert isinstance(answer, PoreCount)
    x, y, width, height = answer.window
    assert width * height < 2_600_000 < large.size
    assert x + width / 2 == pytest.approx(large.shape[1] / 2, abs=30)
    assert y + height / 2 == pytest.approx(large.shape[0] / 2, abs=30)


@pytest.mark.parametrize(
    ("scale", "u"), [(0.0, 0.1), (-4.0, 0.1), (float("nan"), 0.1), (40.0, -0.1), (40.0, float("inf"))]
)
def test_a_scale_that_is_none_is_an_error(scale: float, u: float) -> None:
    with pytest.raises(ValueError, match="scale"):
        count_pores(np.zeros((100, 100), np.uint8), px_per_mm=scale, u_px_per_mm=u)


def test_what_is_no_picture_is_an_error() -> None:
    with pytest.raises(ValueError, match="uint8"):
        count_pores(np.zeros((100, 100)), px_per_mm=40, u_px_per_mm=0.1)  # type: ignore[arg-type]
