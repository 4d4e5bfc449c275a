"""Nothing typed into the log form or photographed is lost: not by a reload, not without a signal, not by a full disk."""

import hashlib
import json
import os
import re
import signal
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from playwright.sync_api import Browser, Page, Route, expect

from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import ARGUMENTS, chromium_path, sign_in
from tests.browser.on_phone import field, finds_on, numbered, opened, photo_digests_on, until
from tests.factories import make_photo, picture
from tests.people import PASSWORD

WIDTHS = 'input[name="r-cap_width-values"]'
FIND_PAGE = re.compile(r"/finds/[0-9a-f-]{36}/$")


@pytest.fixture
def form(reference: Reference, collector: Member, open_page: Any) -> Page:
    """The log form on the collector's phone."""
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
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
    expect(page.locator('input[name="locality"]')).to_have_value("Below the quarry")
    assert [box.input_value() for box in page.locator(WIDTHS).all()] == ["38", "52,5", "61", "44"]
    expect(page.locator('input[name="r-underside-states"][value="pores"]')).to_be_checked()
    expect(page.locator('textarea[name="note"]')).to_be_visible()
    expect(page.locator('textarea[name="note"]')).to_have_value("Rain.")


def press_keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this find").click()


def kept(page: Page) -> Any:
    return page.locator("#log-kept")


def without_signal(page: Page) -> None:
    """A phone that has its numbers loses the signal."""
    numbered(page)
    page.context.set_offline(True)


def with_signal(page: Page) -> None:
    page.context.set_offline(False)


def leave(page: Page, open_page: Any) -> None:
    """Leave the page, and with it what it still asks for; the browser's own words about the lost network are no error."""
    page.context.set_offline(False)
    page.goto("about:blank")
    open_page.errors.clear()


# --- while it is typed ---


def test_a_reload_right_after_the_last_key_keeps_what_was_typed(form: Page) -> None:
    fill_in(form)
    form.locator('textarea[name="note"]').press_sequentially(" And wind")
    form.reload()
    opened(form)
    expect(form.locator("#unfinished")).to_contain_text("is back")
    expect(form.locator('textarea[name="note"]')).to_have_value("Rain. And wind")
    form.locator('textarea[name="note"]').fill("Rain.")
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


def test_an_unfinished_find_is_thrown_away_by_two_taps_and_its_number_is_free_again(form: Page) -> None:
    fill_in(form)
    expect(form.locator("#log-next")).to_contain_text("AT 1")
    form.goto("/finds/log/")
    expect(form.locator("#log-next")).to_contain_text("AT 2")
    form.get_by_role("button", name="Throw it away").click()
    form.get_by_role("button", name="Tap again").click()
    expect(form.locator("#unfinished")).to_be_empty()
    form.goto("/finds/log/")
    expect(form.locator("#log-next")).to_contain_text("AT 1")
    expect(form.locator("#unfinished")).to_be_empty()
    assert finds_on(form) == []


def test_a_form_that_was_only_opened_leaves_nothing_on_the_phone(form: Page) -> None:
    form.locator('input[name="locality"]').click()
    form.goto("/finds/")
    assert finds_on(form) == []


def test_another_member_on_the_same_phone_is_not_offered_it(form: Page, stranger: Member) -> None:
    fill_in(form)
    form.context.clear_cookies()
    sign_in(form, stranger.sign_in_name)
    form.goto("/finds/log/")
    opened(form)
    expect(form.locator("#unfinished")).to_be_empty()


def test_what_an_older_version_left_of_a_find_being_typed_is_taken_over(
    form: Page, collector: Member
) -> None:
    find_id = "5a0c3a4e-7d6f-4c37-9a86-0d2f7f0d8a11"
    draft = {"at": 1_760_000_000_000, "number": "", "fields": [["locality", "Below the quarry"]]}
    form.evaluate(
        "([key, draft]) => localStorage.setItem(key, draft)",
        [f"ledger-find:{collector.pk}:{find_id}", json.dumps(draft)],
    )
    form.goto("/finds/log/")
    form.get_by_role("button", name="Go on with it").click()
    expect(form.locator('input[name="locality"]')).to_have_value("Below the quarry")
    assert form.evaluate("localStorage.length") == 0


def test_a_browser_that_is_killed_while_typing_keeps_the_text(
    reference: Reference, collector: Member, live_server: Any, chromium: Browser, tmp_path: Path
) -> None:
    start = chromium.browser_type.launch_persistent_context
    where = {"user_data_dir": tmp_path / "phone", "base_url": live_server.url, "args": ARGUMENTS}
    path = tmp_path / "phone"

    def phone() -> Any:
        return start(**where, executable_path=chromium_path())

    context = phone()
    page = context.pages[0]
    sign_in(page, collector.sign_in_name)
    page.goto("/finds/log/")
    opened(page)
    page.locator('input[name="locality"]').press_sequentially("Below the quarry, at the bend")
    page.wait_for_function("document.querySelector('[name=locality]').value.endsWith('bend')")
    page.wait_for_timeout(100)  # no pause of a hand: the time the disk takes for the last key
    _kill(path)
    context = phone()
    page = context.pages[0]
    context.clear_cookies()  # a browser that was killed may have lost its newest cookies
    sign_in(page, collector.sign_in_name)
    page.goto("/finds/log/")
    page.get_by_role("button", name="Go on with it").click()
    expect(page.locator('input[name="locality"]')).to_have_value("Below the quarry, at the bend")
    context.close()


def _kill(profile: Path) -> None:
    """End the browser of that profile as a flat battery would: the process that holds it, and at once."""
    lines = subprocess.run(
        ["ps", "-eww", "-o", "pid,args"], capture_output=True, text=True, check=True
    ).stdout
    mine = [line.split(None, 1) for line in lines.splitlines() if f"--user-data-dir={profile}" in line]
    assert mine
    for pid, args in mine:
        if "--type=" not in args:
            os.kill(int(pid), signal.SIGKILL)


# --- photos ---


def test_photos_survive_a_reload_byte_for_byte(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    form.reload()
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    assert photo_digests_on(form) == [hashlib.sha256(cap.read_bytes()).hexdigest()]


def test_a_photo_is_not_sent_before_its_find(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    form.wait_for_timeout(300)
    assert not Photo.objects.exists()


def test_a_photo_chosen_twice_is_kept_once(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("#photo-note")).to_contain_text("here already")
    assert len(photo_digests_on(form)) == 1


def test_a_photo_the_browser_cannot_draw_gets_a_plain_tile(form: Page, tmp_path: Path) -> None:
    path = tmp_path / "IMG_0042.HEIC"
    path.write_bytes(b"\x00\x00\x00\x18ftypheic" + bytes(200))
    form.locator('input[name="photo-underside"]').set_input_files(path)
    row = form.locator("[data-phone-photo]")
    expect(row).to_contain_text("Underside, ")
    expect(row.locator(".log-photo__thumb--plain")).to_be_visible()


def test_a_photo_is_removed_by_a_second_tap_only(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    form.get_by_role("button", name="Remove this photo").click()
    expect(form.get_by_role("button", name="Remove? Tap again")).to_be_visible()
    assert len(photo_digests_on(form)) == 1
    form.get_by_role("button", name="Remove? Tap again").click()
    expect(form.locator("[data-phone-photo]")).to_have_count(0)
    assert photo_digests_on(form) == []


def test_what_a_photo_shows_is_said_by_a_chip(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-"]').set_input_files(cap)
    row = form.locator("[data-phone-photo]")
    row.locator("label", has_text="cut").click()
    expect(row.locator("summary")).to_have_text("shows: cut")
    form.reload()
    expect(row.locator("summary")).to_have_text("shows: cut")


def test_a_photo_is_named_by_what_it_shows_and_its_size(form: Page, cap: Path) -> None:
    form.locator('input[name="photo-"]').set_input_files(cap)
    name = form.locator(".log-photo__name")
    expect(name).to_have_text(re.compile(r"^Photo, \d+(\.\d)? (kB|bytes)$"))
    form.locator("[data-phone-photo] label", has_text="underside").click()
    expect(name).to_have_text(re.compile(r"^Underside, \d+"))
    expect(form.locator("[data-phone-photo]")).not_to_contain_text("cap.jpg")


def test_a_full_disk_keeps_the_find_without_the_photo_that_did_not_fit(form: Page, cap: Path) -> None:
    form.locator('input[name="locality"]').fill("Below the quarry")
    form.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (...given) {
            if (this.name === "photos") throw new DOMException("full", "QuotaExceededError");
            return put.apply(this, given);
          };
        }"""
    )
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("#photo-note")).to_contain_text("There is no room left on this phone for cap.jpg")
    expect(form.locator("#photo-note")).to_contain_text("the find and its other photos are kept")
    expect(form.locator("[data-phone-photo]")).to_have_count(0)
    form.locator('input[name="smell"]').fill("flour")
    form.reload()
    opened(form)
    (find,) = finds_on(form)
    assert (field(find, "locality"), field(find, "smell"), find["photos"]) == (
        "Below the quarry",
        "flour",
        [],
    )
    assert photo_digests_on(form) == []


def test_a_disk_without_room_for_a_word_says_so_and_keeps_the_page(form: Page) -> None:
    form.evaluate(
        """() => {
          IDBObjectStore.prototype.put = function () {
            throw new DOMException("full", "QuotaExceededError");
          };
        }"""
    )
    form.locator('input[name="locality"]').fill("Below the quarry")
    expect(form.locator("#trouble-here")).to_contain_text("There is no room left on this phone.")
    press_keep(form)
    expect(form.locator("#trouble-here")).to_contain_text("leave it open")
    expect(form.locator('input[name="locality"]')).to_have_value("Below the quarry")


def test_a_browser_that_stores_nothing_sends_the_form_as_where_no_script_runs(
    reference: Reference, collector: Member, cap: Path, open_page: Any
) -> None:
    page = open_page(as_=collector, service_workers="block")
    page.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('no', 'SecurityError'); };"
    )
    page.goto("/finds/log/")
    expect(page.locator("#trouble-here")).to_contain_text("This browser keeps nothing here")
    page.locator('input[name="locality"]').fill("Below the quarry")
    page.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(page.locator("#photo-note")).to_contain_text("Chosen: cap.jpg.")
    press_keep(page)
    page.wait_for_url(FIND_PAGE)
    assert (Find.objects.get().locality, Photo.objects.get().view) == ("Below the quarry", "cap")


# --- Keep ---


def test_without_a_signal_the_find_is_kept_at_once_and_sent_when_there_is_one(
    form: Page, cap: Path, open_page: Any
) -> None:
    without_signal(form)
    fill_in(form)
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    press_keep(form)
    expect(kept(form)).to_contain_text("Kept on this phone as AT 1")
    expect(kept(form)).to_contain_text("No signal. It is sent when there is one.")
    expect(kept(form)).to_contain_text("Write AT 1 on the packet.")
    assert not Find.objects.exists()

    with_signal(form)
    expect(kept(form)).to_contain_text("AT 1 is on the ledger")
    expect(kept(form)).not_to_contain_text("on their way")
    find = Find.objects.get()
    assert (find.collecting_number, find.locality) == ("AT 1", "Below the quarry")
    photo = find.photos.get()
    assert photo.view == "cap"
    with photo.original.open() as file:
        assert file.read() == cap.read_bytes()
    leave(form, open_page)


def test_the_next_find_is_a_tap_away_and_offers_the_same_log(form: Page, open_page: Any) -> None:
    without_signal(form)
    fill_in(form)
    form.locator('input[name="host"]').fill("Fagus")
    press_keep(form)
    form.get_by_role("button", name="Next find").click()
    expect(form.locator("#log-next")).to_contain_text("AT 2")
    expect(form.locator('input[name="locality"]')).to_have_value("")
    expect(form.locator("#unfinished")).to_contain_text("Same log as AT 1?")
    form.get_by_role("button", name="Same log").click()
    expect(form.locator('input[name="locality"]')).to_have_value("Below the quarry")
    expect(form.locator('input[name="host"]')).to_have_value("Fagus")
    expect(form.locator('textarea[name="note"]')).to_have_value("")
    press_keep(form)
    expect(kept(form)).to_contain_text("Kept on this phone as AT 2")
    assert len({find["id"] for find in finds_on(form)}) == 2
    leave(form, open_page)


def test_with_a_signal_keep_leads_to_the_page_of_the_find(form: Page, cap: Path) -> None:
    fill_in(form)
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    expect(form.get_by_role("main")).to_contain_text("Write AT 1 on the packet.")
    assert Find.objects.get().photos.count() == 1


def test_what_the_ledger_has_confirmed_leaves_a_small_record_only(form: Page, cap: Path) -> None:
    fill_in(form)
    form.locator('input[name="photo-cap"]').set_input_files(cap)
    expect(form.locator("[data-phone-photo]")).to_have_count(1)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    (find,) = finds_on(form)
    assert (find["state"], find["number"], photo_digests_on(form)) == ("confirmed", "AT 1", [])
    assert field(find, "note") == ""


def test_a_failure_of_the_ledger_leaves_the_find_in_the_outbox(form: Page, open_page: Any) -> None:
    fill_in(form)
    open_page.provoked.append("502")
    form.route("**/phone/finds", lambda route: route.fulfill(status=502, body="Bad gateway"))
    press_keep(form)
    expect(kept(form)).to_contain_text("The ledger answered 502.")
    expect(kept(form)).to_contain_text("It stays in the outbox")
    form.get_by_role("button", name="Back to this find").click()
    expect_filled(form)
    (find,) = finds_on(form)
    assert (find["state"], find["tries"]) == ("waiting", 1)
    open_page.errors.clear()


def test_a_session_that_ended_keeps_everything_and_says_what_to_do(
    form: Page, collector: Member, open_page: Any
) -> None:
    fill_in(form)
    Session.objects.all().delete()
    press_keep(form)
    expect(kept(form)).to_contain_text("You are signed out.")
    expect(kept(form)).to_contain_text("everything stays on this phone")
    kept(form).get_by_role("link", name="Sign in").click()
    form.get_by_label("Sign-in name").fill(collector.sign_in_name)
    form.get_by_label("Password").fill(PASSWORD)
    form.get_by_role("main").get_by_role("button", name="Sign in").click()
    form.wait_for_url("**/")
    form.goto("/phone/outbox/")
    expect(form.locator("#outbox-sum")).to_contain_text("Nothing waits")
    assert Find.objects.get().locality == "Below the quarry"
    open_page.errors.clear()  # the 401 that was asked for


def test_an_untouched_form_is_refused_and_uses_no_number(form: Page) -> None:
    press_keep(form)
    expect(form.locator("#trouble")).to_contain_text("Nothing is entered yet")
    assert not Find.objects.exists()
    form.locator('input[name="locality"]').fill("Below the quarry")
    expect(form.locator("#log-next")).to_contain_text("AT 1")


def test_a_find_that_was_refused_comes_back_with_its_sentences_and_is_kept_once_corrected(
    form: Page, open_page: Any
) -> None:
    fill_in(form)
    # What only the ledger finds: the phone does not know how long a text may be.
    form.locator('input[name="host"]').evaluate("box => { box.removeAttribute('maxlength'); }")
    form.locator('input[name="host"]').fill("Fagus " * 30)
    press_keep(form)
    expect(form.locator("#trouble")).to_contain_text("Host")
    expect(form.locator("[data-told]")).to_be_visible()
    form.locator('input[name="host"]').fill("Fagus")
    expect(form.locator("[data-told]")).to_have_count(0)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().host == "Fagus"
    open_page.errors.clear()  # the 422 that was asked for


def lose_the_answer(route: Route) -> None:
    """The ledger stores it; the phone never hears of it."""
    route.fetch()
    route.abort()


def test_a_lost_answer_makes_no_second_find_and_what_is_typed_after_it_amends_the_first(
    form: Page, open_page: Any
) -> None:
    fill_in(form)
    form.route("**/phone/finds", lose_the_answer)
    press_keep(form)
    expect(kept(form)).to_contain_text("No signal.")
    assert Find.objects.get().locality == "Below the quarry"
    form.unroute("**/phone/finds")
    form.get_by_role("button", name="Back to this find").click()
    form.locator('input[name="locality"]').fill("Above the quarry")
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().locality == "Above the quarry"
    open_page.errors.clear()


def test_what_is_typed_while_the_signal_is_slow_goes_after_what_was_sent(form: Page, open_page: Any) -> None:
    fill_in(form)
    held: list[Route] = []
    form.route("**/phone/finds", lambda route: route.continue_() if held else held.append(route))
    with form.expect_request("**/phone/finds"):
        press_keep(form)
    expect(kept(form)).to_contain_text("Kept on this phone")
    form.get_by_role("button", name="Back to this find").click()
    form.locator('input[name="locality"]').fill("Above the quarry")
    held[0].continue_()
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().locality == "Above the quarry"


def test_unfinished_changes_of_a_find_are_back_on_its_own_form(form: Page) -> None:
    fill_in(form)
    press_keep(form)
    form.wait_for_url(FIND_PAGE)
    form.get_by_role("link", name="Amend").click()
    opened(form)
    form.locator('input[name="smell"]').fill("aniseed")
    form.goto("/finds/")
    form.goto(f"/finds/{Find.objects.get().pk}/amend/")
    expect(form.locator("#unfinished")).to_contain_text("is back")
    expect(form.locator('input[name="smell"]')).to_have_value("aniseed")
    form.get_by_role("button", name="Keep the changes").click()
    form.wait_for_url(FIND_PAGE)
    assert Find.objects.get().smell == "aniseed"


def test_the_bar_tells_the_check_in_one_line_and_leads_to_it(form: Page) -> None:
    fill_in(form)
    line = form.locator('[data-slot="bar-line"]')
    expect(line).to_contain_text("taxa still open")
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


@pytest.mark.parametrize(
    ("trait", "state", "below"),
    [
        ("margin_colour", "white", "cap_surface"),
        ("zonation", "zoned", "cap_length"),
        ("substrate_state", "stump", "locality"),
    ],
)
def test_an_answer_does_not_push_what_lies_below_the_touched_chip(
    form: Page, trait: str, state: str, below: str
) -> None:
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    expect(form.locator("#name-note")).to_contain_text("Known")
    expect(form.locator("#check .check-begin")).to_be_visible()
    under = form.locator(f"#row-{below}, [name={below}]")
    chip = form.locator(f'label:has(> input[name="r-{trait}-states"][value="{state}"])')
    chip.scroll_into_view_if_needed()
    # Measured in the task of the touch itself: afterwards the answer may be there already, or be late.
    before = chip.evaluate(
        "(chip, under) => { chip.click(); return under.getBoundingClientRect().top + scrollY; }",
        under.element_handle(),
    )
    expect(form.locator(f'[data-slot="answer-{trait}"] .log-outcome')).to_be_visible()
    after = under.evaluate("under => under.getBoundingClientRect().top + scrollY")
    assert abs(before - after) <= 30  # at most one line more than is kept free


def test_a_day_to_come_is_asked_about_at_its_box(form: Page) -> None:
    expect(form.locator("#found-on-ask")).to_be_hidden()
    form.locator('input[name="found_on"]').fill("2999-01-01")
    expect(form.locator("#found-on-ask")).to_contain_text("still to come")


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


def test_hosts_are_offered_by_the_reference_that_is_on_the_phone(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    page.goto("/phone/form/")
    opened(page)
    page.get_by_label("Host tree").focus()
    expect(page.locator('#host-names option[value="Fagus"]')).to_be_attached()


def test_what_a_photo_may_show_is_said_in_words(form: Page, cap: Path) -> None:
    form.locator('.shot__input[data-view="cap"]').set_input_files(cap)
    row = form.locator("#phone-photos .log-photo")
    expect(row.locator("summary")).to_have_text("shows: cap from above")
    row.locator("summary").click()
    row.locator("label").filter(has_text="from the side").click()
    expect(row.locator("summary")).to_have_text("shows: from the side")
    assert finds_on(form)[0]["photos"][0]["view"] == "side"


def test_a_photo_that_waits_on_the_ledger_fills_the_form_and_is_removed_as_without_a_script(
    form: Page, collector: Member
) -> None:
    draft = identity_in(form)
    photo = make_photo(draft_id=draft, by=collector, latitude=51.2345, longitude=-2.3456, error_m=8.0)
    form.locator('input[name="locality"]').fill("Hollin Wood")
    until(form, lambda: len(finds_on(form)) == 1)
    form.goto(f"/finds/log/?draft={draft}")
    opened(form)
    form.locator(f'[name="use_photo"][value="{photo.pk}"]').click()
    expect(form.locator('input[name="position_typed"]')).to_have_value("51.234500, -2.345600")
    expect(form.locator('input[name="locality"]')).to_have_value("Hollin Wood")
    until(form, lambda: ["position_source", "photo"] in finds_on(form)[0]["fields"])
    form.locator(f'[name="remove_photo"][value="{photo.pk}"]').click()
    expect(form.locator('[name="remove_photo"]')).to_have_count(0)
    assert not Photo.objects.exists()


def test_nothing_is_asked_for_fresh_of_a_find_of_last_week(form: Page) -> None:
    expect(form.get_by_role("heading", name="While it is fresh")).to_be_visible()
    form.locator('input[name="found_on"]').fill("2026-01-02")
    expect(form.get_by_role("heading", name="While it is fresh")).to_be_hidden()
    expect(form.get_by_role("heading", name="What drying destroys")).to_be_visible()


def identity_in(page: Page) -> str:
    """The identity of the find in the form."""
    return page.locator('input[name="find_id"]').input_value()
