"""The outbox on the phone: sent once and in order, resumable, under the right name, dropped only when it is confirmed."""

import hashlib
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, Request, Route, expect

from ledger.bench.actions import send_back
from ledger.finds.actions import log_find
from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import sign_in
from tests.browser.on_phone import field, finds_on, numbered, opened, photo_digests_on, until
from tests.factories import picture
from tests.ledger.finds.making import entry

CHUNK = 256 * 1024
FIND_PAGE = re.compile(r"/finds/[0-9a-f-]{36}/$")

# Whether the phone holds no find as the ledger told it, and no place of the last log.
_ALL_GONE = """async () => {
  const { getKept, listOwn } = await import("/static/js/phone/store.js");
  return !(await listOwn()).length && (await getKept("last-log")) === null;
}"""

# The first photo that a page reads cannot be read, as after the browser was ended in the middle of writing.
_UNREADABLE_ONCE = """
const get = IDBObjectStore.prototype.get;
let left = 1;
IDBObjectStore.prototype.get = function (key) {
  if (this.name !== "photos" || left === 0) return get.call(this, key);
  left -= 1;
  throw new DOMException("Internal error.", "UnknownError");
};
"""
# What another page or the worker says when it begins to send a find.
_BEGUN = """new BroadcastChannel("outbox").postMessage(
  { finds: 1, bytes: 1000, total: 1000, sentPhotos: 0, allPhotos: 0, current: { number: "AT 1" } })"""


@pytest.fixture
def phone(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    numbered(page)
    return page


@pytest.fixture
def big(tmp_path: Path) -> Path:
    """A photo of several pieces: bytes behind the end of a JPEG belong to it and are no harm to it."""
    path = tmp_path / "big.jpg"
    path.write_bytes(picture() + b"\x00" * (3 * CHUNK))
    return path


def log_one(page: Page, locality: str, *photos: Path) -> None:
    """Log a find in the form that is open, without a signal, and begin the next."""
    page.locator('input[name="locality"]').fill(locality)
    for number, photo in enumerate(photos, 1):
        page.locator('input[name="photo-"]').set_input_files(photo)
        expect(page.locator("[data-phone-photo]")).to_have_count(number)
    page.get_by_role("button", name="Keep this find").click()
    page.get_by_role("button", name="Next find").click()


def asked(context: BrowserContext, what: str) -> list[Request]:
    """Every request of that method and path from now on."""
    method, _, path = what.partition(" ")
    seen: list[Request] = []
    context.on(
        "request",
        lambda one: seen.append(one) if one.method == method and re.search(path, one.url) else None,
    )
    return seen


def nothing_waits(page: Page) -> None:
    expect(page.locator("#outbox-sum")).to_contain_text("Nothing waits", timeout=60_000)


def test_two_tabs_send_each_find_and_each_piece_of_a_photo_once(
    phone: Page, big: Path, open_page: Any
) -> None:
    context = phone.context
    context.set_offline(True)
    for locality in ("One", "Two", "Three"):
        log_one(phone, locality)
    log_one(phone, "Four", big)
    phone.goto("about:blank")  # a page that is left in the middle of sending would send once more
    other = context.new_page()
    finds, pieces = asked(context, "POST /phone/finds$"), asked(context, r"POST /phone/photos/")
    context.set_offline(False)
    phone.goto("/phone/outbox/")
    other.goto("/phone/outbox/")
    nothing_waits(phone)
    nothing_waits(other)
    assert (len(finds), len(pieces)) == (4, 4)
    assert sorted(Find.objects.values_list("locality", flat=True)) == ["Four", "One", "Three", "Two"]
    assert Photo.objects.get(find__locality="Four").sha256 == hashlib.sha256(big.read_bytes()).hexdigest()
    assert photo_digests_on(phone) == []
    open_page.errors.clear()  # the browser's own words about the lost network


def test_a_photo_that_is_on_the_ledger_is_never_called_refused(
    phone: Page, big: Path, open_page: Any
) -> None:
    """Another page of the phone brought it meanwhile, and this page's own piece met a refusal."""

    def brought_and_refused(route: Route) -> None:
        route.fetch()
        refused = '{"why": "too big", "wrong": "Nothing of it was kept."}'
        route.fulfill(status=413, content_type="application/json", body=refused)

    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", big)
    phone.context.route(re.compile(r"/phone/photos/.*offset=786432"), brought_and_refused)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    nothing_waits(phone)
    assert Photo.objects.count() == 1
    expect(phone.get_by_text("Let it go")).to_have_count(0)
    assert photo_digests_on(phone) == []
    open_page.errors.clear()  # the browser's own words about the refusal


def test_a_photo_refused_for_good_is_named_as_the_person_knows_it_and_not_tried_again(
    phone: Page, tmp_path: Path, open_page: Any
) -> None:
    (tmp_path / "whole.jpg").write_bytes(picture())
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(6000))
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", tmp_path / "whole.jpg", tmp_path / "broken.jpg")
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    row = phone.locator(".outbox-photo")
    expect(row).to_contain_text("Photo (broken.jpg): The file is no photo that can be read here")
    expect(row.get_by_role("button", name="Save it on this phone")).to_be_visible()
    expect(row.get_by_role("button", name="Try it again")).to_have_count(0)
    find = Find.objects.get()
    phone.goto(f"/finds/{find.pk}/")
    expect(phone.get_by_text("1 photo of it was not taken from your phone")).to_be_visible()
    expect(phone.get_by_text("comes by itself")).to_have_count(0)
    # Amended while one of them lies here still, each photo stands there once.
    phone.goto(f"/finds/{find.pk}/amend/")
    opened(phone)
    expect(phone.locator("#phone-photos > li")).to_have_count(1)
    expect(phone.locator("#photos .log-photo")).to_have_count(1)
    open_page.errors.clear()  # the browser's own words about the refusal


def test_the_progress_tells_finds_and_bytes_that_are_left(phone: Page, big: Path, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", big)
    held: list[Route] = []
    phone.context.route(re.compile(r"/phone/photos/.*offset=262144"), lambda route: held.append(route))
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#outbox-sum")).to_contain_text(re.compile(r"Sending AT 1: 1 find left, 5\d\d kB"))
    bar = phone.locator("#outbox-progress")
    expect(bar).to_be_visible()
    assert bar.evaluate("bar => bar.value / bar.max") == pytest.approx(1 / 3, abs=0.05)
    row = phone.locator("[data-find]")
    expect(row).to_contain_text("1 photo")
    held[0].continue_()
    nothing_waits(phone)
    expect(bar).to_be_hidden()
    open_page.errors.clear()


def test_a_photo_that_was_cut_off_goes_on_where_it_ended(phone: Page, big: Path, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", big)
    phone.goto("about:blank")
    pieces = asked(phone.context, r"POST /phone/photos/")
    phone.context.route(re.compile(r"/phone/photos/.*offset=524288"), lambda route: route.abort())
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#outbox-list")).to_contain_text("1 of 1 photos still here. It is tried again at")
    phone.context.unroute(re.compile(r"/phone/photos/.*offset=524288"))
    pieces.clear()
    expect(phone.locator("#send-why")).to_contain_text("The ledger did not answer.")
    phone.get_by_role("button", name="Try again").click()
    nothing_waits(phone)
    offsets = [re.search(r"offset=(\d+)", one.url)[1] for one in pieces]  # type: ignore[index]
    assert offsets == ["524288", "786432"]
    assert Photo.objects.get().sha256 == hashlib.sha256(big.read_bytes()).hexdigest()
    open_page.errors.clear()


def test_half_an_answer_is_none_and_it_goes_on_by_itself(phone: Page, big: Path, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", big)
    phone.goto("about:blank")
    halves = iter(['{"have": 0, "do', "<title>Welcome to this network</title>"])

    def cut(route: Route) -> None:
        half = next(halves, None) if route.request.method == "GET" else None
        route.fulfill(status=200, body=half) if half else route.fallback()

    phone.context.route("**/phone/photos/**", cut)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#send-why")).to_contain_text("The ledger did not answer.")
    nothing_waits(phone)
    assert not next(halves, None)
    assert Photo.objects.get().sha256 == hashlib.sha256(big.read_bytes()).hexdigest()
    open_page.errors.clear()  # the browser's own words about the lost network


def test_a_photo_that_cannot_be_read_here_is_tried_again_by_itself(
    phone: Page, big: Path, open_page: Any
) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", big)
    phone.goto("about:blank")
    phone.add_init_script(_UNREADABLE_ONCE)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("[data-find]")).to_contain_text("could not read what it holds of the find")
    expect(phone.get_by_role("button", name="Send now")).to_be_enabled()
    nothing_waits(phone)
    assert Photo.objects.get().sha256 == hashlib.sha256(big.read_bytes()).hexdigest()
    open_page.errors.clear()  # the browser's own words about the lost network


def test_a_sender_that_ended_in_the_middle_does_not_leave_the_outbox_sending(
    phone: Page, open_page: Any
) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    # So long a pause that nothing but the lock tells.
    busy = {"status": 503, "headers": {"Retry-After": "300"}, "body": "busy"}
    phone.context.route("**/phone/finds", lambda route: route.fulfill(**busy))  # type: ignore[arg-type]
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.get_by_role("button", name="Send now")).to_be_enabled()
    other = phone.context.new_page()
    other.goto("/about/")
    other.evaluate(_BEGUN)
    other.close()
    expect(phone.locator("#outbox-sum")).to_contain_text("Sending AT 1")
    expect(phone.locator("#outbox-sum")).to_have_text(re.compile(r"^1 find left"), timeout=15_000)
    expect(phone.get_by_role("button", name="Send now")).to_be_enabled()
    open_page.errors.clear()  # the browser's own words about the refusal


def test_a_failure_makes_the_pause_longer_and_send_now_ends_it(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    phone.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    row = phone.locator("[data-find]")
    expect(row).to_contain_text("The ledger answered 503.")
    # So often that the pause is longer than a slow machine takes to press the button once more.
    for tries in (2, 3, 4, 5):
        phone.get_by_role("button", name="Send now").click()
        until(phone, lambda tries=tries: finds_on(phone)[0]["tries"] >= tries)  # type: ignore[misc]
        expect(phone.get_by_role("button", name="Send now")).to_be_enabled()
    (find,) = finds_on(phone)
    assert find["notBefore"] - phone.evaluate("Date.now()") > 8000
    phone.context.unroute("**/phone/finds")
    phone.get_by_role("button", name="Send now").click()
    nothing_waits(phone)
    assert Find.objects.get().locality == "Below the quarry"
    open_page.errors.clear()


def test_an_answer_with_another_digest_confirms_nothing(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")

    def tampered(route: Route) -> None:
        answer = route.fetch()
        route.fulfill(response=answer, json={**answer.json(), "digest": "0" * 64})

    phone.context.route("**/phone/finds", tampered)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("[data-find]")).to_contain_text("What the ledger stored is not what was sent.")
    (find,) = finds_on(phone)
    assert (find["state"], field(find, "locality")) == ("waiting", "Below the quarry")
    open_page.errors.clear()


def test_signed_out_everything_stays_and_it_says_what_to_do(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    Session.objects.all().delete()
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    told = phone.locator("#outbox-told")
    expect(told).to_contain_text("You are signed out.")
    expect(told).to_contain_text("everything stays on this phone")
    expect(told.get_by_role("link", name="Sign in")).to_be_visible()
    assert [find["state"] for find in finds_on(phone)] == ["waiting"]
    open_page.errors.clear()


def test_signing_out_takes_places_off_the_phone_and_leaves_what_is_not_sent(
    phone: Page, open_page: Any
) -> None:
    log_one(phone, "The hollow beech")
    expect(phone.get_by_role("button", name="Same log")).to_be_visible()
    phone.goto("/phone/outbox/")
    nothing_waits(phone)
    phone.reload()
    expect(phone.locator("#own-list li")).to_have_count(1)
    phone.goto("/finds/log/")
    opened(phone)
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    phone.goto("about:blank")
    phone.context.set_offline(False)
    phone.context.route("**/phone/finds", lambda route: route.abort())
    phone.goto("/me/")
    phone.get_by_text("Menu", exact=True).click()
    phone.get_by_role("button", name="Sign out").click()
    expect(phone.get_by_text("Finds, places and people are for members only.")).to_be_visible()

    def all_is_gone() -> bool:
        return bool(phone.evaluate(_ALL_GONE))

    until(phone, all_is_gone)
    assert [field(find, "locality") for find in finds_on(phone) if find["state"] != "confirmed"] == [
        "Below the quarry"
    ]
    open_page.errors.clear()


def test_finds_of_another_member_are_shown_as_theirs_and_never_sent_under_another_name(
    phone: Page, stranger: Member, collector: Member, open_page: Any
) -> None:
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    phone.context.clear_cookies()
    phone.context.set_offline(False)
    sign_in(phone, stranger.sign_in_name)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#outbox-sum")).to_contain_text("Nothing of yours waits.")
    expect(phone.locator("#outbox-others")).to_contain_text(f"Of {collector.full_name}")
    expect(phone.locator("#outbox-others")).not_to_contain_text("Below the quarry")
    phone.wait_for_timeout(500)
    assert not Find.objects.exists()

    phone.context.clear_cookies()
    sign_in(phone, collector.sign_in_name)
    phone.goto("/phone/outbox/")
    nothing_waits(phone)
    expect(phone.locator("#outbox-others")).to_be_hidden()
    assert Find.objects.get().finder == collector
    open_page.errors.clear()


def test_numbers_of_one_phone_follow_one_another_without_a_signal(phone: Page, open_page: Any) -> None:
    phone.context.set_offline(True)
    for locality in ("One", "Two", "Three"):
        log_one(phone, locality)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    nothing_waits(phone)
    numbers = {find.locality: find.collecting_number for find in Find.objects.all()}
    assert numbers == {"One": "AT 1", "Two": "AT 2", "Three": "AT 3"}
    open_page.errors.clear()


def test_a_find_that_changed_on_the_ledger_is_decided_field_by_field(
    phone: Page, curator: Member, open_page: Callable[..., Page]
) -> None:
    phone.locator('input[name="locality"]').fill("Below the quarry")
    phone.locator('input[name="host"]').fill("Fagus")
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(FIND_PAGE)
    find = Find.objects.get()
    phone.goto(f"/finds/{find.pk}/amend/")
    opened(phone)

    desk = open_page(as_=curator)
    desk.goto(f"/finds/{find.pk}/amend/")
    opened(desk)
    desk.locator('input[name="locality"]').fill("Above the quarry")
    desk.locator('input[name="host"]').fill("Quercus")
    desk.get_by_role("button", name="Keep the changes").click()
    desk.wait_for_url(FIND_PAGE)

    phone.locator('input[name="locality"]').fill("Beside the quarry")
    phone.locator('input[name="smell"]').fill("flour")
    phone.get_by_role("button", name="Keep the changes").click()
    phone.get_by_role("link", name="compare and choose").click()
    conflict = phone.locator(".conflict")
    expect(conflict).to_contain_text("AT 1 was changed by somebody else meanwhile")
    # Host: only the ledger's changed. Place: both did, and nothing is chosen for anybody.
    expect(conflict.locator("input:checked")).to_have_count(1)
    phone.get_by_role("button", name="Send it again").click()
    expect(conflict).to_contain_text("Not chosen yet")
    conflict.locator("label", has_text="Beside the quarry").click()
    phone.get_by_role("button", name="Send it again").click()
    nothing_waits(phone)
    find.refresh_from_db()
    assert (find.locality, find.host, find.smell) == ("Beside the quarry", "Quercus", "flour")
    open_page.errors.clear()  # type: ignore[attr-defined]  # the 409 that was asked for


def test_a_question_asked_meanwhile_is_read_before_the_changes_go(
    phone: Page, curator: Member, open_page: Any
) -> None:
    phone.locator('input[name="locality"]').fill("Below the quarry")
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(FIND_PAGE)
    find = Find.objects.get()
    phone.goto(f"/finds/{find.pk}/amend/")
    opened(phone)
    send_back(find.pk, version=find.version, question="Which tree?", by=curator, now=timezone.now())
    phone.locator('input[name="smell"]').fill("flour")
    phone.get_by_role("button", name="Keep the changes").click()
    phone.get_by_role("link", name="compare and choose").click()
    conflict = phone.locator(".conflict")
    expect(conflict).to_contain_text("no field has two values")
    expect(conflict).to_contain_text("Question by Carys Bowen: Which tree?")
    phone.get_by_role("button", name="Send it again").click()
    nothing_waits(phone)
    find.refresh_from_db()
    assert (find.smell, find.status) == ("flour", "sent back")
    open_page.errors.clear()  # the 409 that was asked for


def test_an_own_find_is_amended_without_a_signal(phone: Page, open_page: Any) -> None:
    phone.locator('input[name="locality"]').fill("Below the quarry")
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(FIND_PAGE)
    find = Find.objects.get()
    phone.goto("/phone/outbox/")
    expect(phone.locator("#own-list")).to_contain_text("AT 1")
    # The page that a phone keeps; without its service worker it is fetched before the signal goes.
    phone.goto(f"/phone/form/?amend={find.pk}")
    opened(phone)
    phone.context.set_offline(True)
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Amend AT 1")
    expect(phone.locator("#unfinished")).to_contain_text("as the ledger had it when there was a signal last")
    phone.locator('input[name="smell"]').fill("aniseed")
    phone.get_by_role("button", name="Keep the changes").click()
    expect(phone.locator("#log-kept")).to_contain_text("Your changes are kept on this phone: AT 1")
    expect(phone.locator("#log-kept")).to_contain_text("No signal.")
    phone.context.set_offline(False)
    expect(phone.locator("#log-kept")).to_contain_text("AT 1 is on the ledger")
    find.refresh_from_db()
    assert (find.smell, find.locality) == ("aniseed", "Below the quarry")
    open_page.errors.clear()


def test_a_find_that_another_phone_logged_says_as_of_when_it_stands_here(
    phone: Page, collector: Member, open_page: Callable[..., Page]
) -> None:
    find = log_find(entry(), by=collector)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#own-list")).to_contain_text("AT ")
    phone.goto(f"/phone/form/?amend={find.pk}")
    opened(phone)
    expect(phone.locator("#unfinished")).to_contain_text("as the ledger had it when there was a signal last")


def test_amending_without_a_signal_tells_which_photos_are_on_the_ledger(
    phone: Page, tmp_path: Path, open_page: Any
) -> None:
    for view, colour in (("cap", "tan"), ("underside", "wheat")):
        path = tmp_path / f"{view}.jpg"
        path.write_bytes(picture(colour=colour))
        phone.locator(f'input[name="photo-{view}"]').set_input_files(path)
    expect(phone.locator("[data-phone-photo]")).to_have_count(2)
    phone.get_by_role("button", name="Keep this find").click()
    phone.wait_for_url(FIND_PAGE)
    phone.goto("/phone/outbox/")
    expect(phone.locator("#own-list")).to_contain_text("AT 1")
    phone.goto(f"/phone/form/?amend={Find.objects.get().pk}")
    opened(phone)
    expect(phone.locator("#photos")).to_have_text("2 photos are on the ledger: cap from above, underside.")
    expect(phone.locator(".shot.is-done")).to_have_count(2)


def test_a_photo_the_ledger_refuses_stays_on_the_phone_and_says_why(
    phone: Page, tmp_path: Path, open_page: Any
) -> None:
    path = tmp_path / "notes.jpg"
    path.write_bytes(b"\xff\xd8\xff\xe0 begins like one" + bytes(6000))
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry", path)
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.locator("[data-find]")).to_contain_text("Photo (notes.jpg):")
    expect(phone.get_by_role("button", name="Save it on this phone")).to_be_visible()
    assert Find.objects.get().locality == "Below the quarry"
    assert photo_digests_on(phone) == [hashlib.sha256(path.read_bytes()).hexdigest()]
    phone.get_by_role("button", name="Let it go").click()
    phone.get_by_role("button", name="Tap again").click()
    nothing_waits(phone)
    assert photo_digests_on(phone) == []
    open_page.errors.clear()


def test_send_now_stands_there_only_where_something_can_be_sent(phone: Page, open_page: Any) -> None:
    phone.goto("/phone/outbox/")
    nothing_waits(phone)
    expect(phone.locator("#outbox-do")).to_be_hidden()
    phone.goto("/finds/log/")
    opened(phone)
    phone.context.set_offline(True)
    log_one(phone, "Below the quarry")
    phone.context.route("**/phone/finds", lambda route: route.fulfill(status=503, body="busy"))
    phone.context.set_offline(False)
    phone.goto("/phone/outbox/")
    expect(phone.get_by_role("button", name="Send now")).to_be_enabled()
    phone.context.set_offline(True)
    expect(phone.locator("#send-why")).to_have_text("No signal. It is all sent by itself when there is one.")
    expect(phone.locator("#send-now")).to_be_hidden()
    phone.context.unroute("**/phone/finds")
    phone.context.set_offline(False)
    nothing_waits(phone)
    expect(phone.locator("#outbox-do")).to_be_hidden()
    open_page.errors.clear()


def test_the_room_on_the_phone_is_shown(phone: Page) -> None:
    phone.goto("/phone/outbox/")
    expect(phone.locator("#room")).to_contain_text(re.compile(r"Used\s*\S+ (kB|MB)"))
    expect(phone.locator("#room")).to_contain_text("Kept safe")
