"""The map in Chromium: keys and clicks move it, the address follows, what is kept back is drawn as an area."""

import io
import re
from collections.abc import Callable
from typing import Any

import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search.keeping import keep
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp
from tests.browser.conftest import DESK, PHONE
from tests.browser.tile_server import COLOUR, tile_server
from tests.factories import DocumentedRangeFactory, FindFactory, ForayFactory
from tests.ledger.bench.making import CALIBRATION
from tests.people import make_person

AT = (51.2143, -2.3371)


@pytest.fixture
def finder(transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Member:
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    DocumentedRangeFactory()
    return make_person("collector")


def _find(finder: Member, at: tuple[float, float] = AT, **more: Any) -> Find:
    find: Find = FindFactory(finder=finder, latitude=at[0], longitude=at[1], **more)
    keep(find)
    return find


def test_keys_move_the_map_and_the_address_follows(finder: Member, open_page: Callable[..., Page]) -> None:
    for step in (None, 0.1):
        _find(finder, own_blur_step_deg=step)
    page = open_page(as_=make_person("stranger"), viewport=DESK)
    page.goto("/year/map/")
    expect(page.locator(".map__find")).to_have_count(1)
    expect(page.locator(".map__area")).to_have_count(1)
    expect(page).to_have_url(re.compile("zoom="))
    before = page.url
    page.locator("[data-frame]").focus()
    page.keyboard.press("+")
    page.keyboard.press("ArrowLeft")
    expect(page).not_to_have_url(before)
    expect(page.locator("[data-rows] tr")).to_have_count(2)
    page.keyboard.press("0")
    expect(page).to_have_url(before)


def test_finds_that_lie_on_each_other_are_a_number_until_one_goes_closer(
    finder: Member, open_page: Callable[..., Page]
) -> None:
    for north in (0.0, 0.0004, 0.2):
        _find(finder, (AT[0] + north, AT[1]))
    page = open_page(as_=finder, viewport=PHONE, has_touch=True)
    page.goto("/year/map/")
    expect(page.locator(".map__of")).to_have_text(["2"])
    expect(page.locator(".map__find")).to_have_count(1)
    page.evaluate("window.stayed = true")
    expect(page.locator("#map-said")).to_contain_text("3 finds, each where it was found")
    page.locator(".map__pile").tap(force=True)
    expect(page.locator(".map__find")).to_have_count(2)
    expect(page.locator("#map-said")).to_contain_text("2 finds, each where it was found")
    assert page.evaluate("window.stayed"), "the page was loaded anew, and the map scrolled away"


def test_the_map_opens_with_every_find_on_a_narrow_screen(
    finder: Member, open_page: Callable[..., Page]
) -> None:
    for east in (0.0, 0.7):
        _find(finder, (AT[0], AT[1] + east))
    page = open_page(as_=finder, viewport={"width": 320, "height": 600})
    page.goto("/year/map/")
    expect(page.locator(".map__find")).to_have_count(2)
    frame = page.locator("[data-frame]").bounding_box()
    assert frame is not None
    for dot in page.locator(".map__find").all():
        box = dot.bounding_box()
        assert box is not None
        assert frame["x"] <= box["x"] and box["x"] + box["width"] <= frame["x"] + frame["width"]


def test_on_paper_finds_lie_where_their_ground_is(finder: Member, open_page: Callable[..., Page]) -> None:
    """The edges of an area are drawn above the ground, and the lines of degrees are the ground: they must meet."""
    _find(finder, (51.25, -2.35), own_blur_step_deg=0.1)
    page = open_page(as_=make_person("stranger"), viewport=DESK, color_scheme="dark")
    page.goto("/year/map/")
    expect(page.locator(".map__area")).to_have_count(1)
    page.evaluate(
        "for (const [name, colour] of [['--map-net', '#ff0000'], ['--ochre-word', '#0000ff']])"
        " document.documentElement.style.setProperty(name, colour)"
    )
    paper = pypdfium2.PdfDocument(page.pdf(format="A4"))[0].render(scale=3).to_pil().convert("RGB")
    assert paper.getpixel((paper.width // 2, 20)) == (255, 255, 255)
    lines, area = _columns(paper, (255, 0, 0), 300), _columns(paper, (0, 0, 255), 100)
    for edge in (area[0], area[-1]):
        assert min(abs(edge - line) for line in lines) <= 6, (area[0], area[-1], lines)


def _columns(picture: Image.Image, colour: tuple[int, int, int], least: int) -> list[int]:
    """Columns of pixels in which the colour stands so often."""
    found = []
    for x in range(picture.width):
        column = picture.crop((x, 0, x + 1, picture.height))
        many = sum(n for n, one in column.getcolors(picture.height) or [] if _is_near(one, colour))
        if many >= least:
            found.append(x)
    assert found, f"nothing on the paper is {colour}"
    return found


def _is_near(one: Any, other: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 60 for a, b in zip(one, other, strict=True))


class TestTiles:
    @pytest.fixture(autouse=True)
    def _credit(self, settings: Any) -> None:
        settings.MAP_CREDIT = "© Example Survey 2026"

    def test_tiles_are_drawn_with_their_credit_and_their_server_learns_nothing_else(
        self, finder: Member, open_page: Callable[..., Page], settings: Any
    ) -> None:
        _find(finder)
        with tile_server() as tiles:
            settings.MAP_TILES = tiles.address
            page = open_page(as_=finder, viewport=DESK)
            page.goto("/year/map/")
            expect(page.locator(".map__credit")).to_have_text("© Example Survey 2026")
            expect(page.locator(".map__find")).to_have_count(1)
            page.wait_for_load_state("networkidle")
            picture = Image.open(io.BytesIO(page.locator("[data-frame]").screenshot())).convert("RGB")
            assert picture.getpixel((picture.width // 3, picture.height // 3)) == COLOUR
            paths = [path for path, _ in tiles.asked]
            assert len(paths) == len(set(paths)), "a tile was asked for twice"
            page.goto("about:blank")
            for _, headers in tiles.asked:
                assert not {"referer", "cookie", "authorization", "origin"} & headers.keys()

    def test_without_its_tiles_the_map_still_shows_ground_and_finds(
        self, finder: Member, open_page: Callable[..., Page], settings: Any
    ) -> None:
        _find(finder)
        with tile_server(is_there=False) as tiles:
            settings.MAP_TILES = tiles.address
            page = open_page(as_=finder, viewport=DESK)
            open_page.provoked.append("404")  # type: ignore[attr-defined]
            page.goto("/year/map/")
            expect(page.locator(".map__find")).to_have_count(1)
            page.locator("[data-in]").click()
            expect(page.locator("#map-said")).to_contain_text("1 find, each where it was found")
            page.goto("about:blank")
            assert tiles.asked

    def test_where_a_map_opens_tells_the_server_no_place_that_is_kept_back(
        self, finder: Member, open_page: Callable[..., Page], settings: Any
    ) -> None:
        foray = ForayFactory(leader=finder)
        _find(finder, foray=foray, own_blur_step_deg=0.1)
        with tile_server() as tiles:
            settings.MAP_TILES = tiles.address
            page = open_page(as_=finder, viewport=DESK)
            page.goto(f"/year/map/?foray={foray.pk}")
            expect(page.locator(".map__find--kept")).to_have_count(1)
            page.wait_for_load_state("networkidle")
            page.goto("about:blank")
            assert tiles.zooms and all(360 / 2**zoom >= 0.1 for zoom in tiles.zooms)
