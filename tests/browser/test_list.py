"""The list of finds by keyboard, in a real browser."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp
from tests.browser.conftest import DESK
from tests.factories import DocumentedRangeFactory, FindFactory
from tests.ledger.bench.making import CALIBRATION
from tests.people import make_person


@pytest.fixture
def collector(transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Member:
    """A member with three finds of one wood and one of another, on a reference of one taxon."""
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    DocumentedRangeFactory()
    member = make_person("collector")
    for serial in (1, 2, 3):
        FindFactory(finder=member, collecting_serial=serial, locality="Otter Mill")
    FindFactory(finder=member, collecting_serial=4, locality="Hollin Wood")
    return member


def _listed(open_page: Callable[..., Page], member: Member) -> Page:
    page = open_page(as_=member, viewport=DESK)
    page.goto("/finds/")
    expect(page.locator("[data-keys]")).not_to_have_attribute("hidden", "")
    return page


def _has_focus(page: Page, number: str) -> None:
    row = page.locator(".list-row", has_text=number)
    expect(row.locator(".row__link")).to_be_focused()


def test_a_find_is_searched_and_opened_by_keys_alone(
    collector: Member, open_page: Callable[..., Page]
) -> None:
    page = _listed(open_page, collector)
    page.keyboard.press("/")
    page.keyboard.type("otter")
    page.keyboard.press("Enter")
    expect(page.locator(".list-row")).to_have_count(3)
    page.keyboard.press("/")
    page.keyboard.press("ArrowDown")
    _has_focus(page, "AT 3")
    page.keyboard.press("ArrowDown")
    _has_focus(page, "AT 2")
    page.keyboard.press("Enter")
    expect(page).to_have_title("AT 2 · Bracket Ledger")


def test_up_from_the_first_row_leads_back_to_the_box(
    collector: Member, open_page: Callable[..., Page]
) -> None:
    page = _listed(open_page, collector)
    page.keyboard.press("/")
    page.keyboard.press("ArrowDown")
    _has_focus(page, "AT 4")
    page.keyboard.press("ArrowUp")
    expect(page.locator("#q")).to_be_focused()


def test_the_single_key_can_be_turned_off_and_stays_so(
    collector: Member, open_page: Callable[..., Page]
) -> None:
    page = _listed(open_page, collector)
    page.get_by_label("Single keys").uncheck()
    page.reload()
    expect(page.get_by_label("Single keys")).not_to_be_checked()
    page.keyboard.press("/")
    expect(page.locator("#q")).not_to_be_focused()


def test_another_order_chosen_by_the_pointer_is_shown_at_once(
    collector: Member, open_page: Callable[..., Page]
) -> None:
    page = _listed(open_page, collector)
    page.locator("#sort").dispatch_event("pointerdown")
    page.locator("#sort").select_option("number")
    expect(page.locator(".list-row .number").first).to_have_text("AT 1")
