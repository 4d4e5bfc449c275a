"""Which views are still missing, live near the photos of the log form."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import opened
from tests.factories import picture

BEFORE = "Before you pick it, still to photograph: "


@pytest.fixture
def form(reference: Reference, collector: Member, open_page: Any) -> Page:
    page: Page = open_page(as_=collector)
    page.goto("/finds/log/")
    opened(page)
    return page


def photo(page: Page, folder: Path, view: str, colour: str) -> None:
    path = folder / f"{view or 'more'}.jpg"
    path.write_bytes(picture(colour=colour))
    page.locator(f'.shot__input[data-view="{view}"]').set_input_files(path)


def test_each_photo_takes_its_view_off_the_line(form: Page, tmp_path: Path) -> None:
    line = form.locator("#views-left")
    expect(line).to_have_text(f"{BEFORE}cap from above, underside, from the side, cut, place, scale.")
    photo(form, tmp_path, "cap", "tan")
    expect(line).to_have_text(f"{BEFORE}underside, from the side, cut, place, scale.")
    photo(form, tmp_path, "", "wheat")
    form.locator('.log-photo__views[open] label:has(> input[value="cut"])').click()
    expect(line).to_have_text(f"{BEFORE}underside, from the side, place, scale.")


def test_what_is_read_of_the_fungus_changes_what_is_wanted(form: Page) -> None:
    line = form.locator("#views-left")
    form.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    expect(line).to_have_text(
        f"{BEFORE}cap from above, underside, from the side, cut, place, scale by the pores."
    )


def test_the_named_taxon_tells_it_where_nothing_is_read(form: Page) -> None:
    line = form.locator("#views-left")
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    form.locator('input[name="name_typed"]').blur()
    expect(line).to_contain_text("scale by the pores")


def test_the_line_takes_its_words_from_the_phone_after_a_reload(form: Page, tmp_path: Path) -> None:
    photo(form, tmp_path, "cap", "tan")
    expect(form.locator("#views-left")).to_have_text(f"{BEFORE}underside, from the side, cut, place, scale.")
    form.reload()
    opened(form)
    expect(form.locator("#views-left")).to_have_text(f"{BEFORE}underside, from the side, cut, place, scale.")


PDF = b"%PDF-1.7\n" + bytes(6000)
DOT = picture(size=(1, 1))
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(6000)
BROKEN = b"\xff\xd8\xff\xe0" + bytes(6000)


def choose(page: Page, folder: Path, data: bytes) -> None:
    path = folder / "cap.jpg"
    path.write_bytes(data)
    page.locator('.shot__input[data-view="cap"]').set_input_files(path)


@pytest.mark.parametrize(
    ("data", "said"), [(PDF, "cap.jpg is no picture"), (DOT, "no picture of a find: 1 × 1 pixels")]
)
def test_what_is_no_picture_is_said_at_once_and_its_view_is_still_missing(
    form: Page, tmp_path: Path, data: bytes, said: str
) -> None:
    choose(form, tmp_path, data)
    expect(form.locator("#photo-note")).to_contain_text(said)
    expect(form.locator("#photo-note")).to_contain_text("Take it again.")
    expect(form.locator("#phone-photos > li")).to_have_count(0)
    expect(form.locator(".shot.is-done")).to_have_count(0)
    expect(form.locator("#views-left")).to_contain_text("cap from above")


def test_a_kind_that_the_browser_cannot_show_is_taken_by_its_first_bytes(form: Page, tmp_path: Path) -> None:
    choose(form, tmp_path, HEIC)
    expect(form.locator(".log-photo__thumb--plain")).to_be_visible()
    expect(form.locator(".shot.is-done")).to_have_count(1)
    expect(form.locator("#views-left")).not_to_contain_text("cap from above")


def test_a_photo_that_cannot_be_shown_is_kept_and_its_view_is_still_missing(
    form: Page, tmp_path: Path
) -> None:
    choose(form, tmp_path, BROKEN)
    expect(form.locator("#phone-photos")).to_contain_text("This phone cannot show it: it may be damaged.")
    expect(form.locator(".shot.is-done")).to_have_count(0)
    expect(form.locator("#views-left")).to_contain_text("cap from above")


def test_the_second_tap_on_the_bin_is_where_the_first_was(form: Page, tmp_path: Path) -> None:
    photo(form, tmp_path, "cap", "tan")
    bin_ = form.locator(".log-photo__bin")
    bin_.scroll_into_view_if_needed()
    before = bin_.bounding_box()
    bin_.click()
    expect(bin_).to_have_text("Remove? Tap again")
    assert bin_.bounding_box() == before
    bin_.click()
    expect(form.locator(".log-photo")).to_have_count(0)
