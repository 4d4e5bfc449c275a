"""Nothing typed into the log form is lost: not by a reload, not without a signal, not by a session that ended."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Page, expect

from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import sign_in
from tests.factories import picture
from tests.people import PASSWORD

WIDTHS = 'input[name="r-cap_width-values"]'
FIND_PAGE = re.compile(r"/finds/[0-9a-f-]{36}/$")


@pytest.fixture
def form(reference: Reference, collector: Member, open_page: Any) -> Page:
    """The log form on the collector's phone."""
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    return page


@pytest.fixture
def cap(tmp_path: Path) -> Path:
    path = tmp_path / "cap.jpg"
    path.write_bytes(picture())
    return path


def fill_in(page: Page) -> None:
    page.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    for number, text in enumerate(("38", "52,5", "61")):
        page.locator(WIDTHS).nth(number).fill(text)
    page.get_by_role("button", name="One more box for Cap width").click()
    page.locator(WIDTHS).nth(3).fill("44")
    page.locator('input[name="locality"]').fill("Below the quarry")
    page.get_by_text("Number you wrote already").click()
    page.locator('textarea[name="note"]').fill("Rain.")


def expect_filled(page: Page) -> None:
    expect(page.locator(WIDTHS)).to_have_count(4)
    assert [box.input_value() for box in page.locator(WIDTHS).all()] == ["38", "52,5", "61", "44"]
    expect(page.locator('input[name="r-underside-states"][value="pores"]')).to_be_checked()
    expect(page.locator('input[name="locality"]')).to_have_value("Below the quarry")
    expect(page.locator('textarea[name="note"]')).to_be_visible()
    expect(page.locator('textarea[name="note"]')).to_have_value("Rain.")


def stored(page: Page) -> None:
    """Typing has rested and is stored: the address then holds the form's identity."""
    page.wait_for_url("**/finds/log/?draft=*")
    page.wait_for_timeout(500)  # what was typed last rests for 300 ms before it is stored


def press_keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this find").click()


def test_a_reload_keeps_what_was_typed(form: Page) -> None:
    fill_in(form)
    stored(form)
    form.reload()
    expect(form.locator("#unfinished")).to_contain_text("is back")
    expect_filled(form)


def test_going_back_to_the_form_finds_it_filled(form: Page) -> None:
    fill_in(form)
    form.goto("/finds/")
    form.go_back()
    expect_filled(form)


def test_a_new_form_offers_the_unfinished_find_and_goes_on_with_it(form: Page) -> None:
    fill_in(form)
    find_id = form.locator('input[name="find_id"]').input_value()
    form.goto("/")
    form.goto("/finds/log/")
    expect(form.locator("#unfinished")).to_contain_text(
        re.compile(r"You have an unfinished find from \d\d:\d\d")
    )
    expect(form.locator('input[name="locality"]')).to_have_value("")
    form.get_by_role("button", name="Go on with it").click()
    expect_filled(form)
    expect(form.locator('input[name="find_id"]')).to_have_value(find_id)


def test_an_unfinished_find_is_thrown_away_by_two_taps(form: Page) -> None:
    fill_in(form)
    stored(form)
    form.goto("/finds/log/")
    form.get_by_role("button", name="Throw it away").click()
    form.get_by_role("button", name="Tap again").click()
    expect(form.locator("#unfinished")).to_be_empty()
    form.goto("/finds/log/")
    expect(form.locator("#unfinished")).to_be_empty()


def test_another_member_on_the_same_phone_is_not_offered_it(form: Page, stranger: Member) -> None:
    fill_in(form)
    stored(form)
    form.context.clear_cookies()
    sign_in(form, stranger.sign_in_name)
    form.goto("/finds/log/")
    expect(form.locator("#unfinished")).to_be_empty()


def test_without_a_signal_keep_keeps_everything_and_says_so(
    form: Page, cap: Path, open_page: Any, collector: Member
) -> None:
    form.context.set_offline(True)
    fill_in(form)
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("#photo-note")).to_contain_text("cap.jpg is not sent yet")
    press_keep(form)
    told = form.locator("#trouble-here")
    expect(told).to_contain_text("No signal.")
    expect(told).to_contain_text("Nothing is lost.")
    expect(told).to_contain_text("1 photo is not sent yet")
    expect(told).to_contain_text("Press Keep again")
    expect_filled(form)
    assert form.locator('input[name="photo-cap"]').evaluate("box => box.files.length") == 1
    assert not Find.objects.exists()

    form.context.set_offline(False)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    expect(form.get_by_role("main")).to_contain_text("Write AT 1 on the packet.")
    assert Find.objects.get().photos.get().view == "cap"
    assert Photo.objects.count() == 1
    open_page.errors.clear()  # the browser's own words about the lost network


def test_what_the_ledger_has_confirmed_is_no_longer_kept_on_the_phone(form: Page) -> None:
    fill_in(form)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    form.wait_for_load_state("networkidle")
    assert form.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('ledger-find:'))") == []


def test_a_failure_of_the_ledger_leaves_the_page_as_it_is(form: Page, open_page: Any) -> None:
    fill_in(form)
    form.route("**/finds/log/", lambda route: route.fulfill(status=502, body="Bad gateway"))
    press_keep(form)
    expect(form.locator("#trouble-here")).to_contain_text("The ledger stumbled (502)")
    expect_filled(form)
    open_page.errors.clear()


def test_a_session_that_ended_loses_nothing_and_keep_goes_on_after_signing_in(
    form: Page, collector: Member, open_page: Any
) -> None:
    fill_in(form)
    Session.objects.all().delete()
    press_keep(form)
    told = form.locator("#trouble-here")
    expect(told).to_contain_text("You are signed out.")
    expect_filled(form)
    with form.context.expect_page() as opened:
        told.get_by_role("link", name="Sign in in a new tab").click()
    tab = opened.value
    tab.get_by_label("Sign-in name").fill(collector.sign_in_name)
    tab.get_by_label("Password").fill(PASSWORD)
    tab.get_by_role("main").get_by_role("button", name="Sign in").click()
    tab.wait_for_url("**/")
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().locality == "Below the quarry"
    open_page.errors.clear()  # the first answer to a form of the old session is 403


def test_an_untouched_form_is_refused_and_uses_no_number(
    form: Page, collector: Member, open_page: Any
) -> None:
    press_keep(form)
    expect(form.locator("#trouble")).to_contain_text("Nothing is entered yet")
    collector.refresh_from_db()
    assert (Find.objects.count(), collector.next_serial) == (0, 1)
    open_page.errors.clear()  # the 422 that was asked for


def test_a_form_that_came_back_with_troubles_is_corrected_and_kept(form: Page, open_page: Any) -> None:
    fill_in(form)
    form.locator(WIDTHS).first.fill("wide")
    press_keep(form)
    expect(form.locator("#trouble")).to_contain_text("Cap width")
    form.locator(WIDTHS).first.fill("39")
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().readings.get(trait="cap_width").values == [39, 52.5, 61, 44]
    open_page.errors.clear()


def test_typing_after_a_lost_answer_amends_what_was_kept(form: Page, open_page: Any) -> None:
    fill_in(form)
    form.route(
        "**/finds/log/",
        lambda route: (route.fetch(), route.abort()) if route.request.method == "POST" else route.continue_(),
    )
    press_keep(form)
    expect(form.locator("#trouble-here")).to_contain_text("No signal.")
    form.unroute("**/finds/log/")
    form.locator('input[name="locality"]').fill("Above the quarry")
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().locality == "Above the quarry"
    open_page.errors.clear()


def test_what_is_typed_while_the_signal_is_slow_is_kept_too(form: Page) -> None:
    fill_in(form)
    form.evaluate(
        """() => {
          const fetched = window.fetch;
          const rest = () => new Promise((go) => setTimeout(go, 2000));
          window.fetch = async (...given) => {
            const answer = await fetched(...given);
            if (given[1]?.method === "POST") await rest();
            return answer;
          };
        }"""
    )
    press_keep(form)
    form.locator('input[name="locality"]').fill("Above the quarry")
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().locality == "Above the quarry"


def test_unfinished_changes_of_a_find_are_offered_on_its_own_form(form: Page) -> None:
    fill_in(form)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    form.get_by_role("link", name="Amend").click()
    form.locator('input[name="smell"]').fill("aniseed")
    form.goto("/finds/")
    form.goto(f"/finds/{Find.objects.get().pk}/amend/")
    expect(form.locator("#unfinished")).to_contain_text("You have unfinished changes from")
    form.get_by_role("button", name="Go on with it").click()
    expect(form.locator('input[name="smell"]')).to_have_value("aniseed")


def test_the_bar_tells_the_check_in_one_line_and_leads_to_it(form: Page) -> None:
    fill_in(form)
    line = form.locator('[data-slot="bar-line"]')
    expect(line).to_contain_text("Fits best:")
    assert len(line.inner_text()) <= 60
    line.click()
    expect(form.locator("#part-check")).to_be_in_viewport()
    expect(form.locator("#check-now")).to_be_hidden()


def test_the_note_of_the_field_being_typed_in_stands_clear_of_the_bar(form: Page) -> None:
    fill_in(form)
    name = form.locator('input[name="name_typed"]')
    # Just above the bar, where a thumb has scrolled it; what is said below it would lie behind.
    name.evaluate(
        """box => scrollBy(0, box.getBoundingClientRect().bottom + 10
           - document.getElementById("log-bar").getBoundingClientRect().top)"""
    )
    where = name.bounding_box()
    assert where
    form.mouse.click(where["x"] + 20, where["y"] + where["height"] / 2)
    form.keyboard.type("Trametes versicolour")
    expect(form.locator("#name-note")).to_contain_text("Did you mean")
    expect(form.locator('[data-slot="bar-line"]')).to_contain_text("next")
    note = form.locator("#name-note").bounding_box()
    bar = form.locator("#log-bar").bounding_box()
    assert note and bar and note["y"] > 0
    assert note["y"] + note["height"] <= bar["y"] + 1


def test_an_answer_does_not_push_what_lies_below_the_touched_chip(form: Page) -> None:
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    expect(form.locator("#name-note")).to_contain_text("Known")
    below = form.locator("#row-cap_surface")
    form.locator('label:has(> input[name="r-margin_colour-states"][value="white"])').click()
    before = below.bounding_box()
    expect(form.locator('[data-slot="answer-margin_colour"]')).not_to_be_empty()
    after = below.bounding_box()
    assert before and after and abs(before["y"] - after["y"]) <= 30  # at most one line more than is kept free


def test_a_day_to_come_is_asked_about_at_its_box(form: Page) -> None:
    expect(form.locator("#found-on-ask")).to_be_hidden()
    form.locator('input[name="found_on"]').fill("2999-01-01")
    expect(form.locator("#found-on-ask")).to_contain_text("still to come")


def test_a_photo_is_removed_by_a_second_tap_only(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    form.get_by_role("button", name="Remove this photo").click()
    expect(form.get_by_role("button", name="Remove? Tap again")).to_be_visible()
    assert Photo.objects.count() == 1
    form.get_by_role("button", name="Remove? Tap again").click()
    expect(form.locator("[data-photo]")).to_have_count(0)


def test_a_chip_fills_how_far_off_the_place_might_be(form: Page) -> None:
    form.get_by_role("button", name="20 m").click()
    expect(form.locator("#id_uncertainty_m")).to_have_value("20")


def test_without_scripts_the_form_is_kept_by_its_plain_post(
    reference: Reference, collector: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=collector, java_script_enabled=False)
    page.goto("/finds/log/")
    page.locator('input[name="locality"]').fill("Below the quarry")
    press_keep(page)
    page.wait_for_url(FIND_PAGE)
    expect(page.get_by_role("main")).to_contain_text("Write AT 1 on the packet.")
