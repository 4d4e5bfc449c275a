"""Whoever logs a find is told in time: at Keep what the ledger will not take, and what became of it when it was sent."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import finds_on, numbered, opened

ODD_WIDTH = 'input[name="r-cap_width-values"]'
PLACE = 'input[name="position_typed"]'


@pytest.fixture
def phone(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
    page.wait_for_selector("#log-form[data-rules]", state="attached")
    return page


def press_keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this find").click()


def keep_without_signal(page: Page, locality: str) -> None:
    page.context.set_offline(True)
    page.locator('input[name="locality"]').fill(locality)
    press_keep(page)
    expect(page.locator("#log-kept")).to_contain_text("No signal.")


def leave(page: Page, open_page: Any) -> None:
    page.context.set_offline(False)
    page.goto("about:blank")
    open_page.errors.clear()


# --- at Keep ---


@pytest.mark.parametrize(
    ("box", "typed", "said"),
    [
        (PLACE, "SU 123 456", "Place: Grid letters of a country are not read here"),
        (PLACE, "99.1, 200", "Place: The first number is beyond 90 degrees."),
        (ODD_WIDTH, "abc", "Cap width, along the wood: 'abc' is not read as numbers"),
        (ODD_WIDTH, "12 parsec", "Cap width, along the wood: unit 'parsec' is not known here"),
        ('input[name="uncertainty_m"]', "far", "How far off might it be: “far” is not read as a number of m"),
    ],
)
def test_what_the_ledger_will_not_take_is_told_at_keep_and_that_it_stays_on_the_phone(
    phone: Page, open_page: Any, box: str, typed: str, said: str
) -> None:
    phone.context.set_offline(True)
    field = phone.locator(box).first
    field.fill(typed)
    press_keep(phone)
    expect(phone.locator("#trouble")).to_contain_text(said)
    expect(phone.locator("#trouble")).to_contain_text("Everything you typed and every photo, on this phone.")
    expect(phone.locator("#trouble")).to_contain_text("stays on this phone until you mend it")
    expect(phone.locator("#trouble")).not_to_contain_text("AT 1")
    expect(field).to_have_attribute("aria-invalid", "true")
    (find,) = finds_on(phone)
    assert (find["state"], find["number"]) == ("waiting", "AT 1")
    leave(phone, open_page)


def test_left_without_another_word_the_find_goes_on_its_way_from_the_outbox(
    phone: Page, open_page: Any
) -> None:
    phone.locator(PLACE).fill("SU 123 456")
    phone.context.set_offline(True)
    press_keep(phone)
    expect(phone.locator("#trouble")).to_be_visible()
    open_page.provoked.append("503")
    phone.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("[data-find]")).to_contain_text("Waits to be sent.")
    open_page.errors.clear()


def test_mend_it_leads_to_the_box_and_what_is_mended_is_said_no_longer(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    phone.locator(PLACE).fill("SU 123 456")
    press_keep(phone)
    phone.get_by_role("button", name="Mend it").click()
    expect(phone.locator(PLACE)).to_be_focused()
    phone.locator(PLACE).fill("51.5, -2.5")
    expect(phone.locator(PLACE)).not_to_have_attribute("aria-invalid", "true")
    press_keep(phone)
    expect(phone.locator("#log-kept")).to_contain_text("Kept on this phone as AT 1")
    leave(phone, open_page)


@pytest.mark.parametrize("button", ["Keep it all the same", "Keep this find"])
def test_a_second_keep_leaves_it_as_it_is_and_the_outbox_says_what_will_be_asked(
    phone: Page, open_page: Any, button: str
) -> None:
    phone.locator(PLACE).fill("SU 123 456")
    phone.context.set_offline(True)
    press_keep(phone)
    expect(phone.locator("#trouble")).to_be_visible()
    phone.get_by_role("button", name=button).click()
    expect(phone.locator("#log-kept")).to_contain_text("Kept on this phone as AT 1")
    open_page.provoked.append("503")
    phone.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    row = phone.locator("[data-find]")
    expect(row).to_contain_text("The ledger does not take it before this is mended:")
    expect(row).to_contain_text("Grid letters of a country")
    row.get_by_role("link", name="Mend it").click()
    opened(phone)
    expect(phone.locator("#trouble")).to_contain_text("Grid letters of a country")
    open_page.errors.clear()


def test_a_place_the_ledger_reads_and_the_phone_does_not_is_kept_without_a_word(
    phone: Page, open_page: Any
) -> None:
    phone.context.set_offline(True)
    phone.locator(PLACE).fill("UTM 30N 545678 5676543")
    press_keep(phone)
    expect(phone.locator("#log-kept")).to_contain_text("Kept on this phone as AT 1")
    expect(phone.locator("#log-kept")).to_contain_text("No signal.")
    phone.context.set_offline(False)
    expect(phone.locator("#log-kept")).to_contain_text("AT 1 is on the ledger")
    assert Find.objects.get().latitude == pytest.approx(51.2, abs=0.1)
    open_page.errors.clear()


def test_a_sentence_stands_once_at_its_box_where_it_is_corrected(phone: Page, open_page: Any) -> None:
    phone.locator(PLACE).fill("SU 123 456")
    phone.locator(ODD_WIDTH).first.fill("abc")
    press_keep(phone)
    phone.get_by_role("button", name="Keep it all the same").click()
    expect(phone.locator("#trouble")).to_contain_text("The find is not in the ledger yet.")
    phone.goto("/phone/outbox/")
    phone.get_by_role("link", name="Correct it").click()
    opened(phone)
    expect(phone.locator("#trouble")).to_contain_text("Grid letters of a country")
    expect(phone.locator("#row-cap_width .log-answer .field__error")).to_be_visible()
    expect(phone.locator("#place-note .field__error")).to_be_visible()
    expect(phone.locator("#row-cap_width .field__error:visible")).to_have_count(1)
    expect(phone.locator(".field:has(> #id_position_typed) .field__error:visible")).to_have_count(1)
    expect(phone.locator("#unfinished")).to_be_empty()
    open_page.errors.clear()  # the 422 that was asked for


# --- when it was sent ---


def test_whoever_has_begun_the_next_find_is_told_that_the_last_is_on_the_ledger(
    phone: Page, open_page: Any
) -> None:
    keep_without_signal(phone, "Below the quarry")
    phone.get_by_role("button", name="Next find").click()
    opened(phone)
    phone.locator('input[name="smell"]').fill("flour")
    phone.context.set_offline(False)
    line = phone.locator(".log-arrived")
    expect(line).to_contain_text("AT 1 is on the ledger.")
    expect(line.get_by_role("link", name="AT 1")).to_have_attribute(
        "href", f"/finds/{Find.objects.get().pk}/"
    )
    line.get_by_role("button", name="Close").click()
    expect(line).to_be_empty()
    phone.reload()
    opened(phone)
    phone.wait_for_timeout(600)
    expect(line).to_be_empty()
    open_page.errors.clear()


def test_on_a_wide_screen_the_line_stands_where_the_eye_is(phone: Page, open_page: Any) -> None:
    keep_without_signal(phone, "Below the quarry")
    phone.get_by_role("button", name="Next find").click()
    opened(phone)
    phone.set_viewport_size({"width": 1360, "height": 900})
    phone.locator('input[name="smell"]').fill("flour")
    phone.context.set_offline(False)
    expect(phone.get_by_text("AT 1 is on the ledger.")).to_have_count(2)
    expect(phone.locator(".kept-arrived")).to_be_in_viewport()
    expect(phone.locator(".log-arrived")).to_be_hidden()
    open_page.errors.clear()


def test_the_outbox_page_tells_what_has_arrived(phone: Page, open_page: Any) -> None:
    keep_without_signal(phone, "Below the quarry")
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("[data-arrived]")).to_contain_text("AT 1 is on the ledger.")
    open_page.errors.clear()


def test_back_in_the_form_of_that_find_it_is_told_as_well(phone: Page, open_page: Any) -> None:
    keep_without_signal(phone, "Below the quarry")
    phone.get_by_role("button", name="Back to this find").click()
    phone.context.set_offline(False)
    expect(phone.locator(".log-arrived")).to_contain_text("AT 1 is on the ledger.")
    open_page.errors.clear()


def test_a_find_that_is_refused_after_somebody_has_gone_on_is_told_where_they_are(
    phone: Page, open_page: Any
) -> None:
    phone.context.set_offline(True)
    phone.locator(PLACE).fill("SU 123 456")
    press_keep(phone)
    phone.get_by_role("button", name="Keep it all the same").click()
    phone.get_by_role("button", name="Next find").click()
    opened(phone)
    phone.context.set_offline(False)
    line = phone.locator(".log-arrived")
    expect(line).to_contain_text("The ledger asks about AT 1: correct it")
    line.get_by_role("link", name="correct it").click()
    expect(phone.locator("#trouble")).to_contain_text("Grid letters of a country")
    open_page.errors.clear()  # the 422 that was asked for


def test_the_panel_that_says_it_itself_is_not_doubled(phone: Page, open_page: Any) -> None:
    keep_without_signal(phone, "Below the quarry")
    phone.context.set_offline(False)
    expect(phone.locator("#log-kept")).to_contain_text("AT 1 is on the ledger")
    phone.wait_for_timeout(600)
    expect(phone.locator(".arrived")).to_have_count(0)
    open_page.errors.clear()


def test_the_same_log_is_that_of_the_newest_find_also_after_an_older_one_was_changed(
    phone: Page, open_page: Any
) -> None:
    for locality in ("Below the quarry", "By the bridge"):
        keep_without_signal(phone, locality)
        phone.get_by_role("button", name="Next find").click()
        opened(phone)
    expect(phone.locator("#unfinished")).to_contain_text("Same log as AT 2?")
    older = next(find["id"] for find in finds_on(phone) if find["number"] == "AT 1")
    phone.context.set_offline(False)
    open_page.provoked.append("503")
    phone.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    phone.goto(f"/finds/log/?draft={older}")
    opened(phone)
    phone.locator('input[name="smell"]').fill("flour")
    press_keep(phone)
    phone.get_by_role("button", name="Next find").click()
    expect(phone.locator("#unfinished")).to_contain_text("Same log as")
    expect(phone.locator("#unfinished")).not_to_contain_text("AT 1?")
    leave(phone, open_page)
