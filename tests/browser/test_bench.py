"""The bench by keyboard and on the phone, in a real browser."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp, Taxon
from tests.browser.conftest import DESK, PHONE
from tests.factories import DocumentedRangeFactory, TaxonFactory
from tests.ledger.bench.making import CALIBRATION, held_find
from tests.people import make_person


@pytest.fixture
def curator(transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Member:
    """A curator with two held finds before her, on a reference of one taxon."""
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    taxon: Taxon = TaxonFactory()
    DocumentedRangeFactory(taxon=taxon)
    collector = make_person("collector")
    held_find(taxon, collector, collecting_serial=1)
    held_find(taxon, collector, collecting_serial=2)
    return make_person("curator")


def _at_first(open_page: Callable[..., Page], curator: Member, **options: object) -> Page:
    page = open_page(as_=curator, **options)
    page.goto("/bench/")
    page.get_by_role("link", name="Begin with AT 1").click()
    _on(page, "AT 1")
    return page


def _on(page: Page, number: str) -> None:
    """The find's screen is open and its keys work: bench.js has shown their switch."""
    expect(page).to_have_title(f"{number} · Bench · Bracket Ledger")
    expect(page.locator("[data-keys]")).not_to_have_attribute("hidden", "")


def test_the_curator_settles_by_keys_alone(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _at_first(open_page, curator, viewport=DESK)
    page.keyboard.press("j")
    _on(page, "AT 2")
    page.keyboard.press("k")
    _on(page, "AT 1")
    page.keyboard.press("s")
    page.keyboard.type("just a big one, kept")  # j, k, s and b are letters here
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    _on(page, "AT 2")
    expect(page.get_by_text("AT 1 is settled.")).to_be_visible()
    find = Find.objects.get(collecting_serial=1)
    assert find.status == Status.SETTLED
    assert {flag.settle_reason for flag in find.flags.all()} == {"just a big one, kept"}


def test_slash_goes_to_the_list_and_escape_closes(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _at_first(open_page, curator, viewport=DESK)
    page.keyboard.press("/")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    _on(page, "AT 2")
    page.keyboard.press("b")
    expect(page.get_by_label("Question to the finder")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.get_by_label("Question to the finder")).to_be_hidden()


def test_the_single_keys_can_be_turned_off_for_good(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _at_first(open_page, curator, viewport=DESK)
    page.get_by_label("Single keys").uncheck()
    page.reload()
    expect(page.get_by_label("Single keys")).not_to_be_checked()
    page.keyboard.press("r")
    expect(page.get_by_label("Name", exact=True)).to_be_hidden()
    page.locator("summary", has_text="Redetermine").click()
    expect(page.get_by_label("Name", exact=True)).to_be_visible()


def test_the_sheet_names_the_ticked_flags_and_leaves_the_flags_in_sight(
    curator: Member, open_page: Callable[..., Page]
) -> None:
    page = _at_first(open_page, curator, viewport=DESK)
    page.locator("summary", has_text="Settle").click()
    names = page.locator(".decide__flags li")
    expect(names.filter(visible=True)).to_have_count(page.locator("[data-flag]:checked").count())
    sheet = page.locator(".decide__act[open] .decide__sheet").bounding_box()
    flags = page.locator(".bench-flags").bounding_box()
    assert sheet and flags and sheet["x"] + sheet["width"] <= flags["x"] + 1
    name = names.filter(visible=True).first.inner_text()
    page.locator("[data-flag]:checked").first.uncheck()
    expect(page.get_by_role("listitem").filter(has_text=name, visible=True)).to_have_count(0)


def test_unticking_a_flag_says_what_will_be_settled(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _at_first(open_page, curator, viewport=PHONE)
    page.locator("summary", has_text="Settle").click()
    expect(page.get_by_text("Settles")).to_be_visible()
    for tick in page.locator("[data-flag]").all():
        tick.uncheck()
    expect(page.get_by_text("No flag is ticked.")).to_be_visible()


@pytest.mark.parametrize("viewport", [DESK, PHONE, {"width": 320, "height": 640}])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_both_screens_are_in_order_for_axe_and_fit_the_width(
    curator: Member, open_page: Callable[..., Page], viewport: dict[str, int], scheme: str
) -> None:
    page = _at_first(open_page, curator, viewport=viewport, color_scheme=scheme)
    for to in (page.url, "/bench/"):
        page.goto(to)
        page.wait_for_load_state("networkidle")
        assert [(found["id"], found["help"]) for found in Axe().run(page).response["violations"]] == []
        assert page.evaluate("document.documentElement.scrollWidth") == viewport["width"]
