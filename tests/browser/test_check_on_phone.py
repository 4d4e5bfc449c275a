"""The check in the log form is worked out on the phone: with the reference there, no signal is needed for it."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import opened

SERVER_CHECK = "**/finds/check/"


@pytest.fixture
def form(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    page.wait_for_selector("#log-form[data-rules]", state="attached")
    return page


def tap_state(page: Page, trait: str, state: str) -> None:
    page.locator(f'label:has(> input[name="r-{trait}-states"][value="{state}"])').click()


def test_readings_are_checked_without_asking_the_ledger(form: Page, open_page: Any) -> None:
    asked: list[str] = []
    form.on("request", lambda request: asked.append(request.url) if "/finds/check/" in request.url else None)
    form.context.set_offline(True)
    tap_state(form, "underside", "pores")
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    form.locator('input[name="r-pores_per_mm-values"]').first.fill("4")
    expect(form.locator("#check .check-name")).to_contain_text("Trametes versicolor")
    expect(form.locator('[data-slot="answer-pores_per_mm"] .strip')).to_be_visible()
    expect(form.locator("#name-note")).to_contain_text("Known:")
    assert asked == []
    open_page.errors.clear()


def test_what_was_unfolded_stays_so_while_the_check_changes(form: Page) -> None:
    tap_state(form, "underside", "pores")
    fold = form.locator("#check .check-rest")
    fold.locator("summary").click()
    before = form.locator("#check .check-standing").inner_text()
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    expect(form.locator("#check .check-standing")).not_to_have_text(before)
    expect(fold).to_have_attribute("open", "")


def test_without_the_reference_and_without_a_signal_it_says_what_to_do(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    page.route("**/phone/reference.json", lambda route: route.abort())
    page.goto("/finds/log/")
    opened(page)
    page.context.set_offline(True)
    tap_state(page, "underside", "pores")
    expect(page.locator(".log-check")).to_contain_text("Open this form once where there is a signal")
    page.close()  # it goes on asking
    open_page.errors.clear()


def test_while_the_reference_is_on_its_way_it_says_so_and_the_check_comes_by_itself(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    held: list[Any] = []
    page.route("**/phone/reference.json", lambda route: held.append(route))
    page.goto("/finds/log/")
    opened(page)
    tap_state(page, "underside", "pores")
    expect(page.locator(".log-check")).to_contain_text("the check comes by itself")
    expect(page.locator("#log-bar .log-bar__line")).to_contain_text("the check waits")
    assert len(held) == 1  # however often it was wanted
    held[0].continue_()
    expect(page.locator("#check .check-standing")).to_be_visible()
    expect(page.locator(".log-check")).not_to_contain_text("the check comes by itself")


def test_the_rows_that_hardly_anybody_opens_are_drawn_when_somebody_does(form: Page) -> None:
    tap_state(form, "underside", "pores")
    fold = form.locator("#check .check-rest")
    expect(fold).to_be_visible()
    assert fold.locator("tr").count() == 0
    fold.locator("summary").click()
    expect(fold.locator("tbody tr").first).to_be_visible()


def test_without_the_reference_the_ledger_is_asked(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    page.route("**/phone/reference.json", lambda route: route.abort())
    page.goto("/finds/log/")
    opened(page)
    with page.expect_response(SERVER_CHECK):
        tap_state(page, "underside", "pores")
    expect(page.locator("#check .check-standing")).to_be_visible()
    page.close()
    open_page.errors.clear()
