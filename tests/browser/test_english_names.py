"""An English name in the log form: offered with its Latin one, read as it, and kept under it."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.browser.on_phone import numbered, opened

NAME = 'input[name="name_typed"]'
OFFERED = f"""() => [...document.querySelector('{NAME}').list.options].map(({{ value, label }}) => [label, value])"""


def form_at(address: str, member: Member, open_page: Callable[..., Page]) -> Page:
    page = open_page(as_=member)
    page.goto(address)
    opened(page)
    page.wait_for_selector("#log-form[data-rules]", state="attached")
    return page


@pytest.mark.parametrize("address", ["/finds/log/", "/phone/form/"], ids=["the ledger's", "the phone's"])
def test_the_list_under_the_name_box_offers_it_with_the_latin_name_that_is_written(
    address: str, reference: Reference, collector: Member, open_page: Any
) -> None:
    page = form_at(address, collector, open_page)
    page.locator(NAME).focus()
    expect(page.locator('#known-names option[value="Trametes versicolor"]')).to_have_count(2)
    offered = page.evaluate(OFFERED)
    assert ["turkey tail", "Trametes versicolor"] in offered
    both = [latin for english, latin in offered if english == "lacquered bracket"]
    assert both == ["Ganoderma lucidum", "Ganoderma resinaceum"]


def test_typed_alone_it_is_read_checked_and_kept_as_the_latin_name(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page = form_at("/finds/log/", collector, open_page)
    numbered(page)
    page.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    page.locator(NAME).fill("turkey tail")
    expect(page.locator("#name-note")).to_contain_text(
        re.compile(r"turkey tail is read as\s+Trametes versicolor")
    )
    expect(page.locator("#check .check-name")).to_contain_text("Trametes versicolor")
    page.get_by_role("button", name="Keep this find").click()
    page.wait_for_url(re.compile(r"/finds/[0-9a-f-]{36}/$"))
    expect(page.get_by_role("heading", level=1)).to_contain_text("Trametes versicolor")
    expect(page.get_by_text("typed as “turkey tail”")).to_be_visible()
    name = Find.objects.get().current_determination
    assert (name.name_typed, name.vernacular_typed) == ("Trametes versicolor", "turkey tail")


def test_one_of_several_taxa_is_taken_by_a_tap_only(
    reference: Reference, collector: Member, open_page: Any
) -> None:
    page = form_at("/finds/log/", collector, open_page)
    page.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    page.locator(NAME).fill("lacquered bracket")
    note = page.locator("#name-note")
    expect(note).to_contain_text("lacquered bracket is an English name of more than one.")
    expect(page.locator("#check .check-standing")).to_contain_text("No name is given that the books know.")
    note.get_by_role("button", name="Ganoderma resinaceum").click()
    expect(page.locator(NAME)).to_have_value("Ganoderma resinaceum")
    expect(page.locator("#check .check-name")).to_contain_text("Ganoderma resinaceum")
