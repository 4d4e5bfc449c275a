"""A find on the phone is in one hand: of one tab, of one member, and of one number."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.numbers import reserve_block
from ledger.traits.reference import Reference
from tests.browser.conftest import sign_in
from tests.browser.on_phone import field, finds_on, numbered, opened

FIND_PAGE = re.compile(r"/finds/[0-9a-f-]{36}/$")


@pytest.fixture
def phone(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
    return page


def begin(page: Page, locality: str = "Below the quarry") -> str:
    """Begin a find; its address afterwards."""
    page.locator('input[name="locality"]').fill(locality)
    expect(page).to_have_url(re.compile("draft="))
    return page.url


def locality_of(page: Page) -> str:
    (find,) = finds_on(page)
    return field(find, "locality")


# --- one tab ---


def second_tab(page: Page, address: str) -> Page:
    tab = page.context.new_page()
    tab.goto(address)
    return tab


def test_a_second_tab_on_the_same_find_says_so_and_writes_nothing(phone: Page) -> None:
    tab = second_tab(phone, begin(phone))
    expect(tab.locator("#log-kept")).to_contain_text("Open in another tab")
    expect(tab.locator("#log-form")).to_be_hidden()
    phone.locator('input[name="locality"]').fill("Above the quarry")
    tab.close()
    phone.wait_for_timeout(200)
    assert locality_of(phone) == "Above the quarry"


def test_the_second_tab_takes_it_over_with_the_last_key_and_the_first_writes_no_more(phone: Page) -> None:
    tab = second_tab(phone, begin(phone))
    expect(tab.locator("#log-kept")).to_contain_text("Open in another tab")
    phone.locator('input[name="locality"]').fill("Above the quarry")
    tab.get_by_role("button", name="Go on with it here").click()
    opened(tab)
    expect(tab.locator('input[name="locality"]')).to_have_value("Above the quarry")
    expect(phone.locator("#log-kept")).to_contain_text("Taken over by another tab")
    expect(phone.locator("#log-form")).to_be_hidden()
    tab.locator('input[name="locality"]').fill("Beside the quarry")
    phone.goto("about:blank")
    tab.reload()
    opened(tab)
    assert locality_of(tab) == "Beside the quarry"


def test_the_first_tab_takes_it_back(phone: Page) -> None:
    tab = second_tab(phone, begin(phone))
    tab.get_by_role("button", name="Go on with it here").click()
    opened(tab)
    tab.locator('input[name="locality"]').fill("Beside the quarry")
    phone.get_by_role("button", name="Go on with it here").click()
    opened(phone)
    expect(phone.locator('input[name="locality"]')).to_have_value("Beside the quarry")
    expect(tab.locator("#log-kept")).to_contain_text("Taken over by another tab")


def test_a_tab_that_is_closed_leaves_the_find_to_the_next(phone: Page) -> None:
    address = begin(phone)
    tab = phone.context.new_page()
    phone.close()
    tab.goto(address)
    opened(tab)
    expect(tab.locator('input[name="locality"]')).to_have_value("Below the quarry")


def test_a_find_that_is_open_in_another_tab_is_not_thrown_away(phone: Page) -> None:
    begin(phone)
    tab = second_tab(phone, "/finds/log/")
    tab.get_by_role("button", name="Throw it away").click()
    tab.get_by_role("button", name="Tap again").click()
    expect(tab.get_by_role("button", name="It is open in another tab")).to_be_visible()
    assert locality_of(phone) == "Below the quarry"


def test_two_tabs_with_two_finds_do_not_disturb_one_another(phone: Page) -> None:
    begin(phone)
    tab = second_tab(phone, "/finds/log/")
    opened(tab)
    begin(tab, "By the bridge")
    assert sorted(field(find, "locality") for find in finds_on(tab)) == ["Below the quarry", "By the bridge"]


# --- one member ---


def as_another(page: Page, member: Member) -> None:
    page.wait_for_load_state("networkidle")  # what the page asks on its own is asked by the one before
    page.context.clear_cookies()
    sign_in(page, member.sign_in_name)


def test_a_find_one_member_has_begun_does_not_open_for_another(
    phone: Page, collector: Member, stranger: Member
) -> None:
    address = begin(phone)
    as_another(phone, stranger)
    phone.goto(address)
    told = phone.locator("#log-kept")
    expect(told).to_contain_text(f"This find was begun by {collector.full_name} on this phone.")
    expect(told).to_contain_text(f"{collector.full_name} signs in on this phone")
    expect(phone.locator("#log-form")).to_be_hidden()
    expect(phone.locator('input[name="locality"]')).to_have_value("")
    assert locality_of(phone) == "Below the quarry"
    phone.get_by_role("button", name="New find").click()
    opened(phone)
    expect(phone.locator("#log-form")).to_be_visible()
    expect(phone.locator("#unfinished")).to_be_empty()


def test_it_opens_again_for_the_member_who_began_it(phone: Page, collector: Member, stranger: Member) -> None:
    address = begin(phone)
    as_another(phone, stranger)
    as_another(phone, collector)
    phone.goto(address)
    opened(phone)
    expect(phone.locator('input[name="locality"]')).to_have_value("Below the quarry")


def test_the_outbox_lists_what_another_member_has_begun_for_nobody_else(
    phone: Page, stranger: Member
) -> None:
    begin(phone)
    as_another(phone, stranger)
    phone.goto("/phone/outbox/")
    phone.wait_for_load_state("networkidle")
    expect(phone.locator("#outbox-typing")).to_be_hidden()
    expect(phone.get_by_role("main")).not_to_contain_text("Below the quarry")


def test_unsent_changes_of_one_member_are_not_shown_to_another_who_amends_the_find(
    phone: Page, collector: Member, curator: Member, open_page: Any
) -> None:
    phone.locator('input[name="locality"]').fill("Below the quarry")
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(FIND_PAGE)
    phone.goto(f"/finds/{Find.objects.get().pk}/amend/")
    opened(phone)
    phone.locator('input[name="smell"]').fill("aniseed")
    as_another(phone, curator)
    phone.goto(f"/finds/{Find.objects.get().pk}/amend/")
    expect(phone.locator("#log-kept")).to_contain_text(
        f"Changes of AT 1 that {collector.full_name} typed wait"
    )
    expect(phone.locator("#log-form")).to_be_hidden()


# --- one number ---


def test_the_number_of_a_slip_opened_twice_is_one_find(
    reference: Reference, collector: Member, open_page: Callable[..., Page]
) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    page = open_page(as_=collector)
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    page.locator('input[name="locality"]').fill("Hollin Wood")
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    expect(page.locator("#unfinished")).to_contain_text("is back")
    expect(page.locator('input[name="locality"]')).to_have_value("Hollin Wood")
    expect(page.locator('input[name="serial"]')).to_have_value("3")
    page.locator('input[name="host"]').fill("Fagus")
    (find,) = finds_on(page)
    assert (find["number"], field(find, "locality")) == ("AT 3", "Hollin Wood")


def test_the_number_of_a_slip_that_is_in_the_outbox_opens_that_find(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    page = open_page(as_=collector)
    page.goto("/phone/form/?slip=AT-3")
    opened(page)
    open_page.provoked.append("503")
    page.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    page.locator('input[name="locality"]').fill("Hollin Wood")
    page.get_by_role("button", name="Keep this find").click()
    expect(page.locator("#log-kept")).to_contain_text("Kept on this phone as AT 3")
    # Left before the answer, it would be on its way still.
    expect(page.locator("#log-kept")).to_contain_text("The ledger answered 503.")
    page.goto("/phone/form/?slip=AT-3")
    opened(page)
    expect(page.locator("#unfinished")).to_contain_text("This find is in the outbox")
    expect(page.locator('input[name="locality"]')).to_have_value("Hollin Wood")
    open_page.errors.clear()


def test_the_number_of_a_slip_that_is_on_the_ledger_is_not_given_again(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    page = open_page(as_=collector)
    page.goto("/phone/form/?slip=AT-3")
    opened(page)
    page.locator('input[name="locality"]').fill("Hollin Wood")
    page.get_by_role("button", name="Keep this find").click()
    page.wait_for_url(FIND_PAGE)
    page.goto("/phone/form/?slip=AT-3")
    opened(page)
    expect(page.locator("#unfinished")).to_contain_text("AT 3 is on the ledger already")
    expect(page.locator('input[name="serial"]')).to_have_value("")
