"""From a paper slip to the find in Chromium: its number, its finder, and no day that nobody wrote."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.numbers import reserve_block
from ledger.traits.reference import Reference
from tests.browser.on_phone import opened

KEPT = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
# As on a phone that learnt of the club before this member came to it.
KNOWS_NOBODY = """async () => {
  const { changeKept } = await import("/static/js/phone/store.js");
  await changeKept("hello", (hello) => ({ ...hello, people: [] }));
}"""
# The ledger answers the form itself, or the phone its kept page.
BOTH = pytest.mark.parametrize("workers", ["block", "allow"])


def type_up(page: Page, number: str) -> None:
    page.goto("/q/")
    page.get_by_label("Number on the slip").fill(number)
    page.get_by_role("button", name="Open the form").click()


def phone_of(member: Member, open_page: Any, workers: str) -> Page:
    page: Page = open_page(as_=member, service_workers=workers)
    if workers == "allow":
        page.evaluate(KEPT)
    # The phone learns who is who where there is a signal.
    page.goto("/finds/log/")
    opened(page)
    page.wait_for_load_state("networkidle")
    return page


def keep(page: Page) -> None:
    opened(page)
    page.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    page.get_by_role("button", name="Keep this find").click()
    page.wait_for_url(re.compile(r"/finds/[0-9a-f-]{36}/$"))


@BOTH
def test_a_slip_of_one_s_own_becomes_the_find_of_that_number(
    workers: str, reference: Reference, collector: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    page = phone_of(collector, open_page, workers)
    type_up(page, "at 3")
    opened(page)
    expect(page.locator("#log-next")).to_contain_text("AT 3")
    expect(page.locator('input[name="serial"]')).to_have_value("3")
    expect(page.locator('input[name="found_on"]')).to_have_value("")
    keep(page)
    find = Find.objects.get()
    assert (str(find), find.finder, find.found_on) == ("AT 3", collector, None)


@BOTH
def test_a_leader_types_up_a_member_s_slip_and_the_find_is_that_member_s(
    workers: str, reference: Reference, collector: Member, leader: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=leader, many=4)
    page = phone_of(leader, open_page, workers)
    type_up(page, "AT 3")
    page.get_by_role("link", name="Log it for Ada Thorne").click()
    opened(page)
    expect(page.get_by_text("Found by Ada Thorne")).to_be_visible()
    expect(page.locator("#log-next")).to_contain_text("AT 3")
    expect(page.get_by_label("Named by")).to_be_visible()
    expect(page.get_by_label("Named by")).to_have_value("Ada Thorne")
    page.get_by_label("Name, as far as you dare").fill("Trametes versicolor")
    keep(page)
    find = Find.objects.get()
    assert (str(find), find.finder, find.logged_by) == ("AT 3", collector, leader)
    named = find.current_determination
    assert (named.determiner_name, named.determined_on) == ("Ada Thorne", None)


def test_a_reload_keeps_the_number_and_the_finder(
    reference: Reference, collector: Member, leader: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=leader, many=4)
    page = phone_of(leader, open_page, "block")
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    page.locator('input[name="locality"]').fill("Hollin Wood")
    expect(page).to_have_url(re.compile("draft="))
    page.reload()
    opened(page)
    expect(page.get_by_text("Found by Ada Thorne")).to_be_visible()
    expect(page.locator('input[name="serial"]')).to_have_value("3")
    expect(page.locator('input[name="locality"]')).to_have_value("Hollin Wood")


def test_the_find_after_one_from_a_slip_has_a_number_of_its_own(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=collector, many=4)
    page = phone_of(collector, open_page, "block")
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    page.context.set_offline(True)
    page.locator('input[name="locality"]').fill("Hollin Wood")
    page.get_by_role("button", name="Keep this find").click()
    page.get_by_role("button", name="Next find").click()
    opened(page)
    expect(page.locator('input[name="serial"]')).to_have_value("")
    expect(page.locator('[name="slip"]')).to_have_count(0)
    page.context.set_offline(False)
    page.goto("about:blank")
    open_page.errors.clear()


def test_the_code_of_a_slip_opens_the_form_without_a_signal(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page = phone_of(collector, open_page, "allow")
    page.context.set_offline(True)
    page.goto("/q/AT-3")
    opened(page)
    expect(page.locator("#log-next")).to_contain_text("AT 3")
    page.context.set_offline(False)
    page.goto("about:blank")
    open_page.errors.clear()


def test_a_browser_that_was_never_here_before_asks_the_ledger_whose_slip_it_is(
    reference: Reference, collector: Member, leader: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=leader, many=4)
    page: Page = open_page(as_=leader)
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    expect(page.locator("#log-finder")).to_contain_text("Found by Ada Thorne")
    keep(page)
    find = Find.objects.get()
    assert (str(find), find.finder, find.logged_by) == ("AT 3", collector, leader)


def test_while_it_is_unknown_whose_slip_it_is_nothing_is_kept_under_another_number(
    reference: Reference, collector: Member, leader: Member, open_page: Any
) -> None:
    reserve_block(collector, holder="paper", by=leader, many=4)
    page = phone_of(leader, open_page, "block")
    page.route("**/phone/hello", lambda route: route.abort())
    page.evaluate(KNOWS_NOBODY)
    page.goto("/finds/log/?slip=AT-3")
    opened(page)
    page.locator('input[name="locality"]').fill("Below the quarry")
    page.get_by_role("button", name="Keep this find").click()
    expect(page.locator("#trouble")).to_contain_text("has the code of slip AT 3")
    assert not Find.objects.exists()
    page.unroute("**/phone/hello")
    page.reload()
    opened(page)
    expect(page.locator('input[name="locality"]')).to_have_value("Below the quarry")
    expect(page.locator("#log-finder")).to_contain_text("Found by Ada Thorne")
    open_page.errors.clear()  # the browser's own words about the lost network
