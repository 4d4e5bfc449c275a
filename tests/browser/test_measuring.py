"""Measuring on a photo in Chromium: by finger, by mouse and by keys."""

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from playwright.sync_api import Page, expect

from ledger.finds.models import Find, Photo, Reading
from ledger.finds.photo_actions import add_photo
from ledger.measures.models import Measurement
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.conftest import DESK
from tests.factories import FindFactory
from tests.ledger.measures.drawn_card import PX_PER_MM, with_card


@pytest.fixture
def photo(reference: Reference, collector: Member) -> Photo:
    find: Find = FindFactory(finder=collector)
    upload = SimpleUploadedFile("cap.jpg", with_card())
    return add_photo(upload, draft_id=find.pk, by=collector, find=find, view="cap")


def measuring(page: Page, photo: Photo) -> Page:
    page.goto(f"/photos/{photo.pk}/measure/")
    page.wait_for_selector("#measure[data-ready]")
    return page


def put(page: Page, share_x: float, share_y: float, tap: bool = False) -> None:
    page.locator("canvas").scroll_into_view_if_needed()
    box = page.locator("canvas").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] * share_x, box["y"] + box["height"] * share_y
    page.touchscreen.tap(x, y) if tap else page.mouse.click(x, y)


@pytest.mark.parametrize("tap", [True, False], ids=["finger", "mouse"])
def test_a_length_between_two_points_is_told_and_kept(
    tap: bool, photo: Photo, collector: Member, open_page: Any
) -> None:
    options = {"has_touch": True} if tap else {"viewport": DESK}
    page = measuring(open_page(as_=collector, **options), photo)
    expect(page.locator(".onphoto__scale")).to_contain_text("Scale card found")
    put(page, 0.3, 0.5, tap)
    expect(page.locator("#measure-says")).to_contain_text("Put the other end")
    put(page, 0.6, 0.5, tap)
    expect(page.locator("[data-result]")).to_contain_text(re.compile(r"\d ± [\d.]+ mm"))
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("table.ledger")).to_be_visible()
    row = Measurement.objects.get()
    apart = row.points[1][0] - row.points[0][0]
    assert row.value == pytest.approx(apart / PX_PER_MM, rel=0.01)
    expect(page.get_by_role("main")).to_contain_text(f"{row.value:.1f} ±")


def test_it_goes_by_keys_alone(photo: Photo, collector: Member, open_page: Any) -> None:
    page = measuring(open_page(as_=collector, viewport=DESK), photo)
    page.locator("canvas").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator("[data-result]")).to_contain_text(" mm")
    before = page.locator("[data-result] p").first.inner_text()
    for _ in range(30):
        page.keyboard.press("ArrowRight")
    expect(page.locator("[data-result] p").first).not_to_have_text(before)
    page.keyboard.press("Backspace")
    expect(page.locator("#measure-says")).to_contain_text("Put the other end")


def test_a_line_that_cannot_be_measured_says_why_and_keeps_its_points(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector, viewport=DESK), photo)
    page.get_by_label("What is measured").select_option("Pores per millimetre counted by the program")
    for _ in range(4):
        page.get_by_role("button", name="Closer").click()
    put(page, 0.5, 0.5)
    put(page, 0.56, 0.58)
    expect(page.locator("[data-result]")).to_contain_text("Mark a larger one")
    expect(page.get_by_role("button", name="Keep it")).to_be_disabled()
    expect(page.get_by_role("button", name="Take the last point back")).to_be_enabled()
    open_page.errors.clear()  # the 422 that was asked for


def test_the_card_s_line_is_told_and_what_is_measured_next_goes_by_it(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector), photo)
    page.get_by_text("The card was printed too small or too large?").click()
    page.get_by_label("The 50 mm line measures, mm").fill("45")
    page.get_by_role("button", name="Correct the scale").click()
    expect(page.locator(".onphoto__scale")).to_contain_text(
        "Scale corrected: the card's 50 mm line was 45.0 mm."
    )
    page.wait_for_selector("#measure[data-ready]")
    put(page, 0.3, 0.5)
    put(page, 0.6, 0.5)
    expect(page.locator("[data-result]")).to_contain_text(re.compile(r"\d ± [\d.]+ mm"))
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("table.ledger")).to_be_visible()
    row = Measurement.objects.get()
    assert row.value == pytest.approx(0.9 * (row.points[1][0] - row.points[0][0]) / PX_PER_MM, rel=0.01)


def test_what_cannot_be_the_line_is_said_where_it_was_typed(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector), photo)
    page.get_by_text("The card was printed too small or too large?").click()
    page.get_by_label("The 50 mm line measures, mm").fill("5")
    page.get_by_role("button", name="Correct the scale").click()
    expect(page.get_by_text("A line of 50 mm that measures 5 mm is no print of this card")).to_be_visible()
    expect(page.get_by_label("The 50 mm line measures, mm")).to_have_value("5")
    open_page.errors.clear()  # the 422 that was asked for


def measured_line(page: Page) -> None:
    put(page, 0.3, 0.5)
    put(page, 0.6, 0.5)
    expect(page.locator("[data-result]")).to_contain_text(re.compile(r"\d ± [\d.]+ mm"))


def test_what_was_kept_is_said_where_it_was_kept_and_becomes_the_reading_from_there(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector), photo)
    measured_line(page)
    page.get_by_role("button", name="Keep it").click()
    kept = page.locator("[data-kept]")
    expect(kept).to_contain_text("Kept: ")
    # The list below is new, the page is the same: nothing moved under the finger.
    expect(page.locator(".onphoto__taken table.ledger tbody tr")).to_have_count(1)
    expect(kept.get_by_role("button")).to_be_in_viewport()
    kept.get_by_role("button", name="Make it the reading of cap width").click()
    notice = page.get_by_text(re.compile("It is the reading of .* now"))
    expect(notice).to_be_in_viewport()
    assert Reading.objects.get(find=photo.find, trait="cap_width", ended_at=None).measurements.count() == 1


def test_without_a_signal_the_sentence_stands_beside_the_button(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector), photo)
    measured_line(page)
    page.route("**/measure/keep/", lambda route: route.abort())
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("[data-kept]")).to_contain_text("The ledger could not be reached. The points stay")
    expect(page.locator("[data-kept]")).to_be_in_viewport()
    expect(page.get_by_role("button", name="Keep it")).to_be_enabled()
    open_page.errors.clear()  # the request that was cut


def test_a_third_tap_and_another_trait_leave_both_points_where_they_are(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector, viewport=DESK), photo)
    measured_line(page)
    told = page.locator("[data-result] p").first.inner_text()
    put(page, 0.2, 0.2)
    expect(page.locator("#measure-says")).to_contain_text("Both points are put.")
    expect(page.locator("[data-result] p").first).to_have_text(told)
    page.get_by_label("What is measured").select_option("line:cap_length")
    expect(page.locator("[data-result] p").first).to_have_text(told)


def test_a_ruler_is_asked_about_as_soon_as_its_length_is_typed(
    photo: Photo, collector: Member, open_page: Any
) -> None:
    page = measuring(open_page(as_=collector), photo)
    page.get_by_label("What is measured").select_option("Scale from a ruler")
    put(page, 0.3, 0.5)
    put(page, 0.6, 0.5)
    page.get_by_label("Between the two points lie, mm").press_sequentially("1")
    sure = page.get_by_role("button", name="Go by the ruler all the same")
    expect(sure).to_be_enabled()
    expect(page.locator("[data-result]")).to_contain_text("more than their uncertainties allow")
    sure.click()
    expect(page.get_by_text("The scale goes by the ruler now.")).to_be_visible()
    page.get_by_role("button", name="Go by the card again").click()
    expect(page.locator(".onphoto__scale")).to_contain_text("Scale card found")
