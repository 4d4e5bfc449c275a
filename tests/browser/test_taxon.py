"""The form for a range of the club's own, in a real browser."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from ledger.taxa import queries
from ledger.taxa.models import ReferenceStamp, Taxon
from tests.browser.conftest import DESK
from tests.factories import DocumentedRangeFactory, TaxonFactory
from tests.ledger.bench.making import CALIBRATION
from tests.people import make_person


@pytest.fixture
def curator(transactional_db: None, monkeypatch: pytest.MonkeyPatch) -> Member:
    monkeypatch.setattr(queries, "calibration", lambda: CALIBRATION)
    ReferenceStamp.objects.update_or_create(pk=1)
    DocumentedRangeFactory(taxon=TaxonFactory())
    return make_person("curator")


def _form(open_page: Callable[..., Page], curator: Member, **options: object) -> Page:
    page = open_page(as_=curator, viewport=DESK, **options)
    page.goto(f"/taxa/{Taxon.objects.get().slug}/")
    page.locator("summary", has_text="Enter a range").click()
    return page


def test_the_trait_shows_its_own_states_only(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _form(open_page, curator)
    page.get_by_label("Trait", exact=True).select_option("zonation")
    labels = page.get_by_role("group", name="States").locator("label").all_inner_texts()
    traits = queries.vocabulary().traits
    assert [label.strip() for label in labels] == [state.label for state in traits["zonation"].states]
    expect(page.get_by_label("Rarely up to")).to_be_hidden()
    page.get_by_label("Trait", exact=True).select_option("cap_width")
    expect(page.get_by_role("group", name="States")).to_be_hidden()
    expect(page.get_by_label("Rarely up to")).to_be_visible()


@pytest.mark.parametrize(
    ("trait", "typed"),
    [
        ("cap_width", {"high": "80"}),
        ("spore_length", {"low_extreme": "4.50", "low": "5", "high": "6.25", "high_extreme": "7"}),
        ("pores_per_mm", {"low": "3", "high": "3"}),
        ("cap_thickness", {"low_extreme": "1", "high_extreme": "9"}),
    ],
)
def test_the_preview_reads_as_the_range_then_stands_on_the_page(
    curator: Member, open_page: Callable[..., Page], trait: str, typed: dict[str, str]
) -> None:
    page = _form(open_page, curator)
    page.get_by_label("Trait", exact=True).select_option(trait)
    for name, figure in typed.items():
        page.locator(f"#id_{name}").fill(figure)
    said = page.locator("[data-preview]").inner_text().removeprefix("It will read: ")
    page.get_by_label("Why").fill("Measured on forty caps of the club's.")
    page.get_by_role("button", name="Enter this range").click()
    expect(page.get_by_text("The club’s range is entered.")).to_be_in_viewport()
    expect(page.locator(".row__main").filter(has_text="Measured on forty caps")).to_contain_text(said)


def test_states_are_sent_as_they_are_ticked(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _form(open_page, curator)
    page.get_by_label("Trait", exact=True).select_option("underside")
    page.get_by_role("checkbox", name="Pores").check()
    page.get_by_role("checkbox", name="Gills").check()
    page.get_by_role("checkbox", name="Gills").uncheck()
    page.get_by_role("checkbox", name="Maze").check()
    page.get_by_label("Why").fill("Seen on forty caps of the club's.")
    page.get_by_role("button", name="Enter this range").click()
    row = page.locator(".row__main").filter(has_text="Seen on forty caps")
    expect(row).to_contain_text("underside pores or maze")


def test_without_script_all_bounds_and_the_grouped_states_are_there(
    curator: Member, open_page: Callable[..., Page]
) -> None:
    page = _form(open_page, curator, java_script_enabled=False)
    expect(page.get_by_label("States")).to_be_visible()
    expect(page.get_by_label("Rarely up to")).to_be_visible()
    expect(page.locator("[data-preview]")).to_be_hidden()


def test_the_open_form_is_in_order_for_axe(curator: Member, open_page: Callable[..., Page]) -> None:
    page = _form(open_page, curator)
    for trait in ("underside", "cap_width"):
        page.get_by_label("Trait", exact=True).select_option(trait)
        assert [(found["id"], found["help"]) for found in Axe().run(page).response["violations"]] == []
