"""The place from the phone: listened for, the best kept, and never over what a hand has typed."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import opened

SPOT = {"latitude": 51.234567, "longitude": -2.345678}


@pytest.fixture
def form(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(
        as_=collector,
        geolocation={**SPOT, "accuracy": 40},
        permissions=["geolocation", "background-sync", "accelerometer", "gyroscope", "magnetometer"],
    )
    page.goto("/finds/log/")
    opened(page)
    return page


def move_to(page: Page, accuracy: float, **where: float) -> None:
    page.context.set_geolocation({**SPOT, **where, "accuracy": accuracy})  # type: ignore[arg-type]


def test_the_best_of_several_fixes_is_kept(form: Page) -> None:
    place, error = form.locator('input[name="position_typed"]'), form.locator('input[name="uncertainty_m"]')
    form.locator("#locate").click()
    expect(error).to_have_value("40")
    move_to(form, 12, latitude=51.2346)
    expect(error).to_have_value("12")
    move_to(form, 60, latitude=51.3)
    form.locator("#locate").click()
    expect(form.locator("#locate-note")).to_contain_text("good to 12 m")
    expect(place).to_have_value("51.234600, -2.345678")
    expect(form.locator('input[name="position_source"]')).to_have_value("phone")


def test_it_stops_by_itself_when_it_is_good_enough(form: Page) -> None:
    form.locator("#locate").click()
    move_to(form, 4)
    expect(form.locator("#locate-note")).to_contain_text("Taken, good to 4 m")
    expect(form.locator("#locate")).to_contain_text("Take it from this phone")


def test_what_a_hand_types_stands_against_a_later_fix(form: Page) -> None:
    place = form.locator('input[name="position_typed"]')
    form.locator("#locate").click()
    expect(place).to_have_value("51.234567, -2.345678")
    place.fill("51.5, -2.5")
    move_to(form, 8)
    form.wait_for_timeout(500)
    expect(place).to_have_value("51.5, -2.5")
    expect(form.locator('input[name="position_source"]')).to_have_value("typed")


def test_a_phone_that_does_not_allow_it_says_so(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    page.locator("#locate").click()
    expect(page.locator("#locate-note")).to_contain_text("The phone did not allow it. Nothing was changed")


def test_a_typed_place_is_told_without_a_signal(form: Page, open_page: Any) -> None:
    form.context.set_offline(True)
    form.locator('input[name="position_typed"]').fill("51.5, -2.5")
    expect(form.locator("#place-note")).to_have_text("Read as 51.5° north, 2.5° west.")
    form.locator('input[name="position_typed"]').fill("UTM 30N 545678 5676543")
    expect(form.locator("#place-note")).to_contain_text("UTM and MGRS, when the find reaches it")
    open_page.errors.clear()


def test_what_a_photo_says_of_its_place_is_a_tap_away(form: Page, tmp_path: Any) -> None:
    from tests.factories import picture

    path = tmp_path / "cap.jpg"
    path.write_bytes(picture(position=(51.1, -2.2)))
    form.locator('input[name="photo-cap"]').set_input_files(path)
    form.get_by_role("button", name="Use place").click()
    expect(form.locator('input[name="position_typed"]')).to_have_value("51.100000, -2.200000")
    expect(form.locator('input[name="position_source"]')).to_have_value("photo")


def test_the_compass_gives_the_middle_of_what_it_says(form: Page) -> None:
    form.get_by_text("Altitude, time, compass").click()
    # The sensor speaks all the time, before the tap as well: however slow the machine, two seconds hear some of it.
    form.evaluate(
        """() => { setInterval(() => { for (const alpha of [1, 359, 2])
             window.dispatchEvent(Object.assign(new Event("deviceorientationabsolute"), { alpha, absolute: true }));
           }, 50); }"""
    )
    form.get_by_role("button", name="Take it from the compass").click()
    expect(form.locator('input[name="facing_deg"]')).to_have_value("359")
    expect(form.locator("#compass-note")).to_contain_text("the phone does not say")
