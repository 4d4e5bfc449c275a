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
    expect(line).to_have_text(f"{BEFORE}cap, underside, side, cut, wood, scale card.")
    photo(form, tmp_path, "cap", "tan")
    expect(line).to_have_text(f"{BEFORE}underside, side, cut, wood, scale card.")
    photo(form, tmp_path, "", "wheat")
    form.locator('.log-photo__views[open] label:has(> input[value="cut"])').click()
    expect(line).to_have_text(f"{BEFORE}underside, side, wood, scale card.")


def test_what_is_read_of_the_fungus_changes_what_is_wanted(form: Page) -> None:
    line = form.locator("#views-left")
    form.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    expect(line).to_have_text(f"{BEFORE}cap, underside, side, cut, wood, scale card by the pores.")


def test_the_named_taxon_tells_it_where_nothing_is_read(form: Page) -> None:
    line = form.locator("#views-left")
    form.locator('input[name="name_typed"]').fill("Trametes versicolor")
    form.locator('input[name="name_typed"]').blur()
    expect(line).to_contain_text("scale card by the pores")


def test_the_line_takes_its_words_from_the_phone_after_a_reload(form: Page, tmp_path: Path) -> None:
    photo(form, tmp_path, "cap", "tan")
    expect(form.locator("#views-left")).to_have_text(f"{BEFORE}underside, side, cut, wood, scale card.")
    form.reload()
    opened(form)
    expect(form.locator("#views-left")).to_have_text(f"{BEFORE}underside, side, cut, wood, scale card.")
