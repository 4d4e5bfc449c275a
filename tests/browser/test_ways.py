"""The menu and the next number, as a phone that knows who holds it fills them in."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import DESK, sign_in
from tests.browser.on_phone import field, finds_on, kept_on, numbered, opened, until


def bar_words(page: Page) -> list[str]:
    for fold in page.locator(".ways__bar summary:visible").all():
        fold.click()
    shown = page.locator(".ways__bar li:visible")
    return [re.sub(r"\s+", " ", word).strip() for word in shown.all_inner_texts()]


def test_a_kept_page_fills_in_the_ways_of_whoever_is_signed_in(
    reference: Reference, keeper: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=keeper, viewport=DESK)
    of_ledger = bar_words(page)
    page.goto("/phone/outbox/")
    expect(page.locator(".ways__bar summary", has_text="Keeping")).to_be_visible()
    assert bar_words(page) == of_ledger


def test_signed_out_a_kept_page_offers_to_sign_in(
    reference: Reference, open_page: Callable[..., Page]
) -> None:
    page = open_page(viewport=DESK)
    page.goto("/phone/outbox/")
    expect(page.locator(".ways__bar").get_by_role("link", name="Sign in")).to_be_visible()
    expect(page.locator(".ways__bar").get_by_role("link", name="Bench")).to_be_hidden()


def test_signing_out_from_a_kept_page_signs_out(
    reference: Reference, collector: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=collector, viewport=DESK)
    page.goto("/phone/outbox/")
    page.wait_for_load_state(
        "networkidle"
    )  # what the page asks on its own is answered while somebody is signed in
    page.get_by_role("button", name="Sign out").first.click()
    page.wait_for_url("**/")
    expect(page.get_by_role("link", name="Sign in").first).to_be_visible()


@pytest.mark.parametrize("address", ["/", "/me/"])
def test_the_next_number_of_a_page_is_the_one_the_form_gives(
    address: str, reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
    page.goto(address)
    expect(page.locator("[data-next-number]")).to_contain_text("AT 1")
    page.goto("/finds/log/")
    expect(page.locator("#log-next")).to_have_text("will be AT 1")
    page.locator('input[name="locality"]').fill("Below the quarry")
    expect(page.locator("#log-next")).to_have_text("will be AT 1")
    # What is typed is written a moment later, and the next page tells the number that lies there when it opens.
    until(page, lambda: any(field(find, "locality") for find in finds_on(page)))
    page.goto(address)
    expect(page.locator("[data-next-number]")).to_contain_text("AT 2")


def knows(page: Page, member: Member) -> None:
    """The phone takes that member for the one who is signed in."""

    def is_known() -> bool:
        return bool((kept_on(page, "hello") or {}).get("member") == member.pk)

    until(page, is_known)


def test_a_phone_without_numbers_says_none(reference: Reference, collector: Member, open_page: Any) -> None:
    page: Page = open_page(as_=collector)
    knows(page, collector)
    expect(page.locator("[data-next-number]")).to_be_hidden()


def test_the_front_page_tells_the_phone_who_has_signed_in(
    reference: Reference, collector: Member, stranger: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    knows(page, collector)
    page.context.clear_cookies()
    sign_in(page, stranger.sign_in_name)
    knows(page, stranger)
