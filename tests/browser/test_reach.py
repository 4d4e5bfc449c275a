"""One thumb, gloves, rain, dusk: the log form can be reached, read and filled in a minute.

The short form, as the log form asks it first: two photos (cap and underside), what the underside shows, the specimen's
state, whether the cap bends, the colour of the underside, cap width, pores per millimetre, the kind of wood, what it
grows on, the place, Keep. Nothing of it is chosen beforehand; only the day is filled in, and the place is listened for
from the first touch on where the phone was allowed to tell it before.

How touches are counted: each touch of the screen is one. A photo is two: its tile, and the shutter of the phone's own
camera. A box for digits is one, for opening it; the digits themselves are typed on the phone's own keys and not counted.
Scrolling is no touch of a target and is not counted either; how far it goes is bounded by the height of the form.
"""

import sys
import time
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import field, finds_on, opened
from tests.factories import picture

MOST_TOUCHES = 14
MOST_SECONDS = 60
# A thumb finds the next target, and the phone's camera opens and shuts: as long as each takes a hand in gloves.
# (Assumed, not measured: about 2 s a target and 4 s a photo.) The machine's own time comes on top.
HAND_SECONDS_PER_TOUCH = 2.0
HAND_SECONDS_PER_PHOTO = 4.0
# Of the emptied form at 390 px: it was 7,400 px high when every row stood in full.
MOST_HEIGHT_PX = 5000
LEAST_TARGET_PX = 48
LEAST_TEXT_PX = 16


class Thumb:
    """Touches a page and counts."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.touches = 0
        self.photos = 0

    def touch(self, target: Locator) -> None:
        target.tap()
        self.touches += 1

    def state(self, trait: str, state: str) -> None:
        self.touch(self.page.locator(f'label:has(> input[name="r-{trait}-states"][value="{state}"])'))

    def digits(self, trait: str, text: str) -> None:
        self.touch(self.page.locator(f'input[name="r-{trait}-values"]').first)
        self.page.keyboard.type(text)

    def photo(self, view: str, path: Path) -> None:
        with self.page.expect_file_chooser() as chosen:
            self.touch(self.page.locator(f'.shot:has(input[name="photo-{view}"])'))
        self.touches += 1  # the shutter
        self.photos += 1
        chosen.value.set_files(path)

    @property
    def seconds_of_a_hand(self) -> float:
        return self.touches * HAND_SECONDS_PER_TOUCH + self.photos * HAND_SECONDS_PER_PHOTO


@pytest.fixture
def phone(reference: Reference, collector: Member, open_page: Any) -> Page:
    """A phone that was allowed to tell its place before, with the form open."""
    page: Page = open_page(
        as_=collector,
        has_touch=True,
        is_mobile=True,
        geolocation={"latitude": 51.234567, "longitude": -2.345678, "accuracy": 12},
        permissions=["geolocation", "background-sync"],
    )
    page.goto("/finds/log/")
    opened(page)
    return page


@pytest.fixture
def shots(tmp_path: Path) -> dict[str, Path]:
    paths = {view: tmp_path / f"{view}.jpg" for view in ("cap", "underside")}
    for view, colour in (("cap", "tan"), ("underside", "wheat")):
        paths[view].write_bytes(picture(colour=colour))
    return paths


def test_the_short_form_with_two_photos_is_kept_in_fourteen_touches_and_a_minute(
    phone: Page, shots: dict[str, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    thumb = Thumb(phone)
    begun = time.monotonic()
    for view, path in shots.items():
        thumb.photo(view, path)
    thumb.state("underside", "pores")
    thumb.touch(phone.locator('label:has(> input[name="specimen_state"][value="fresh"])'))
    thumb.state("flexibility", "flexible")
    thumb.state("pore_surface_colour", "white")
    thumb.digits("cap_width", "52")
    thumb.digits("pores_per_mm", "4")
    thumb.state("host", "hardwood")
    thumb.state("substrate_state", "fallen log")
    expect(phone.locator('input[name="position_typed"]')).to_have_value("51.234567, -2.345678")
    thumb.touch(phone.get_by_role("button", name="Keep this find"))
    expect(phone.locator("#log-kept")).to_contain_text("Kept on this phone")
    seconds = time.monotonic() - begun

    with capsys.disabled():
        sys.stdout.write(
            f"\n{thumb.touches} touches; {seconds:.1f} s of this machine, {thumb.seconds_of_a_hand:.0f} s of a hand\n"
        )
    assert thumb.touches <= MOST_TOUCHES
    assert seconds + thumb.seconds_of_a_hand <= MOST_SECONDS
    (find,) = finds_on(phone)
    read = {name: value for name, value in find["fields"] if value}
    assert {photo["view"] for photo in find["photos"]} == {"cap", "underside"}
    assert read["specimen_state"] == "fresh"
    assert (read["r-cap_width-values"], read["r-pores_per_mm-values"]) == ("52", "4")
    assert (read["position_source"], read["uncertainty_m"]) == ("phone", "12")
    assert read["found_on"]


def test_nothing_is_read_before_somebody_looks(phone: Page) -> None:
    chosen = phone.locator("#log-form .chip__input:checked")
    assert [box.get_attribute("name") for box in chosen.all()] == ["decay"]  # "not looked"
    assert phone.locator('input[name="name_typed"]').input_value() == ""
    assert phone.locator('input[name="position_typed"]').input_value() == ""


def test_the_form_is_no_longer_than_it_must_be(phone: Page) -> None:
    height = phone.evaluate("document.documentElement.scrollHeight")
    assert height <= MOST_HEIGHT_PX


def test_what_drying_destroys_is_in_sight_unfolded(phone: Page, reference: Reference) -> None:
    for trait in reference.vocabulary.traits.values():
        if trait.fresh_only and trait.short_form:
            expect(phone.locator(f"#row-{trait.code}")).to_be_visible()


_SMALL = """(least) => {
  for (const fold of document.querySelectorAll("#log-form details")) fold.open = true;
  const touched = "a[href], button, input:not([type=hidden]), select, textarea, summary, label.chip, label.shot";
  return [...document.querySelectorAll("#log-page :is(" + touched + ")")].flatMap((one) => {
    const label = one.matches("[type=checkbox]") ? one.closest("label") : null;
    const box = one.closest("label.chip, label.shot") ?? label ?? one;
    const { width, height } = box.getBoundingClientRect();
    const isUnseen = !width || one.closest(".visually-hidden, [aria-hidden=true]");
    // Half a pixel of rounding is no smaller target.
    if (isUnseen || (width >= least - 0.5 && height >= least - 0.5)) return [];
    return [`${one.tagName} ${one.name || one.className || one.textContent.trim().slice(0, 30)}: ${width} x ${height}`];
  });
}"""

_SMALL_TEXT = """(least) => {
  for (const fold of document.querySelectorAll("#log-form details")) fold.open = true;
  const walk = document.createTreeWalker(document.getElementById("log-page"), NodeFilter.SHOW_TEXT);
  const small = new Set();
  while (walk.nextNode()) {
    const around = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !around.getClientRects().length) continue;
    const size = parseFloat(getComputedStyle(around).fontSize);
    if (size < least) small.add(`${size} px: ${walk.currentNode.data.trim().slice(0, 40)}`);
  }
  return [...small];
}"""


@pytest.mark.parametrize("width", [390, 320])
def test_every_target_is_48_pixels_and_every_word_16(phone: Page, width: int) -> None:
    phone.set_viewport_size({"width": width, "height": 844})
    assert phone.evaluate(_SMALL, LEAST_TARGET_PX) == []
    phone.locator('label:has(> input[name="r-underside-states"][value="pores"])').tap()
    phone.locator('input[name="r-pores_per_mm-values"]').first.fill("4")
    phone.locator('input[name="name_typed"]').fill("Trametes versicolour")
    expect(phone.locator("#name-note")).to_contain_text("Did you mean")
    expect(phone.locator("#check .next-look")).to_be_visible()
    assert phone.evaluate(_SMALL, LEAST_TARGET_PX) == []
    assert phone.evaluate(_SMALL_TEXT, LEAST_TEXT_PX) == []


def test_the_place_is_not_listened_for_before_the_first_touch(phone: Page) -> None:
    expect(phone.locator("#locate-note")).to_have_text("")
    phone.locator('label:has(> input[name="specimen_state"][value="fresh"])').tap()
    expect(phone.locator("#locate-note")).to_contain_text("Good to 12 m so far")


def test_a_place_taken_by_itself_is_taken_out_again_by_a_touch(phone: Page) -> None:
    phone.locator('label:has(> input[name="specimen_state"][value="fresh"])').tap()
    phone.context.set_geolocation({"latitude": 51.2, "longitude": -2.3, "accuracy": 3})
    expect(phone.locator("#locate-note")).to_contain_text("Taken by itself, good to 3 m")
    phone.get_by_role("button", name="Not found here").tap()
    expect(phone.locator('input[name="position_typed"]')).to_have_value("")
    expect(phone.locator("#locate-note")).to_contain_text("taken out again")
    (find,) = finds_on(phone)
    assert field(find, "position_source") == ""


def test_another_day_takes_out_a_place_that_came_by_itself(phone: Page) -> None:
    phone.locator('label:has(> input[name="specimen_state"][value="fresh"])').tap()
    expect(phone.locator('input[name="position_typed"]')).not_to_have_value("")
    phone.locator('input[name="found_on"]').fill("2024-10-03")
    expect(phone.locator('input[name="position_typed"]')).to_have_value("")


def test_a_find_typed_up_from_a_slip_takes_no_place_by_itself(phone: Page) -> None:
    phone.goto("/finds/log/?slip=AT-57")
    opened(phone)
    phone.locator('label:has(> input[name="specimen_state"][value="fresh"])').tap()
    phone.wait_for_timeout(500)
    expect(phone.locator('input[name="position_typed"]')).to_have_value("")
    expect(phone.locator("#locate-note")).to_have_text("")
