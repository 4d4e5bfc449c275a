"""A pocket sheet in Chromium: kept on the phone, opened without a signal, taken off again."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference

SHEET = "/pocket/?taxon=trametes-versicolor&taxon=stereum-hirsutum"
# Waited for inside one evaluation: the content security policy forbids what Playwright's own waiting does.
KEPT = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""


@pytest.fixture
def phone(reference: Reference, collector: Member, open_page: Callable[..., Page]) -> Page:
    page = open_page(as_=collector, service_workers="allow")
    page.evaluate(KEPT)
    page.goto(SHEET)
    return page


def test_a_kept_sheet_opens_without_a_signal_with_its_drawings_and_says_nothing_personal(
    phone: Page, collector: Member, open_page: Any
) -> None:
    phone.get_by_role("button", name="Keep on this phone").click()
    expect(phone.get_by_text("It opens on this phone without a signal")).to_be_visible()
    phone.context.set_offline(True)
    phone.goto(SHEET)
    expect(phone.get_by_role("heading", name="Pocket sheet", exact=True)).to_be_visible()
    expect(phone.get_by_text("Parts A from B").first).to_be_visible()
    expect(phone.get_by_text("No guide to eating.")).to_be_visible()
    assert phone.locator(".strip-bar").count() > 3
    drawn = phone.evaluate("document.querySelector('.pocket-state use').getBoundingClientRect().width")
    assert drawn > 10
    assert collector.full_name not in phone.content()
    open_page.errors.clear()  # the browser's own word about what it could not fetch


def test_any_other_page_without_a_signal_lists_the_kept_sheets(phone: Page, open_page: Any) -> None:
    phone.get_by_role("button", name="Keep on this phone").click()
    expect(phone.get_by_text("It opens on this phone without a signal")).to_be_visible()
    phone.context.set_offline(True)
    phone.goto("/taxa/")
    expect(phone.get_by_role("heading", name="No signal")).to_be_visible()
    expect(phone.get_by_text("None is kept on this phone")).to_be_hidden()
    phone.get_by_role("link", name="Trametes versicolor and 1 more").click()
    expect(phone.get_by_text("Parts A from B").first).to_be_visible()
    open_page.errors.clear()


def test_a_sheet_is_taken_off_the_phone_again(phone: Page, open_page: Any) -> None:
    phone.get_by_role("button", name="Keep on this phone").click()
    phone.get_by_role("button", name="Take off this phone").click()
    expect(phone.get_by_role("button", name="Keep on this phone")).to_be_visible()
    phone.context.set_offline(True)
    phone.goto(SHEET)
    expect(phone.get_by_role("heading", name="No signal")).to_be_visible()
    open_page.errors.clear()


def test_without_a_signal_nothing_is_said_to_be_kept_that_is_not(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Keep on this phone").click()
    expect(phone.get_by_text("It could not be kept")).to_be_visible()
    expect(phone.get_by_role("button", name="Take off this phone")).to_be_hidden()
    open_page.errors.clear()


def test_the_buttons_of_a_kept_sheet_stand_apart(phone: Page) -> None:
    phone.get_by_role("button", name="Keep on this phone").click()
    expect(phone.get_by_role("button", name="Take off this phone")).to_be_visible()
    gaps = phone.evaluate(
        """() => {
          const buttons = [...document.querySelectorAll(".actions:has([data-pocket]) .button")];
          const boxes = buttons.map((one) => one.getBoundingClientRect());
          const row = boxes.filter((box) => Math.abs(box.top - boxes[0].top) < 5).sort((a, b) => a.left - b.left);
          const below = boxes.filter((box) => box.top > boxes[0].bottom).map((box) => box.top - boxes[0].bottom);
          return [...row.slice(1).map((box, i) => box.left - row[i].right), ...below];
        }"""
    )
    assert len(gaps) == 3 and min(gaps) >= 8


def test_on_paper_the_sources_are_unfolded(phone: Page) -> None:
    phone.emulate_media(media="print")
    fold = phone.locator("[data-opens-for-print]")
    expect(fold).not_to_have_attribute("open", "")
    phone.evaluate("dispatchEvent(new Event('beforeprint'))")
    expect(fold).to_have_attribute("open", "")
