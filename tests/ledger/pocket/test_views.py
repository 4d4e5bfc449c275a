"""Pocket sheets on screen and as a PDF: which taxa, what the page says, what a phone keeps."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.people.models import Member
from ledger.taxa.models import LookAlike, Source, Taxon
from ledger.traits.reference import Reference
from tests.ledger.paper.making import size_mm, text_of

PAGE, SHEET = reverse("pocket-page"), reverse("pocket-sheet")


@pytest.fixture
def member(collector: Member, reference: Reference, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(collector)


def letters_of(page: Any) -> list[str]:
    return [taxon.name for taxon in page.context["pocket"].taxa]


def test_one_taxon_brings_its_look_alikes_of_the_table_first(member: Client) -> None:
    source = Source.objects.create(id="memory", citation="from memory", kind="memory")
    taxa = {name: Taxon.objects.get(name=name) for name in ("Trametes versicolor", "Fomes fomentarius")}
    LookAlike.objects.create(
        taxon_a=taxa["Fomes fomentarius"],
        taxon_b=taxa["Trametes versicolor"],
        what_parts_them="size",
        source=source,
    )
    names = letters_of(member.get(PAGE, {"taxon": "trametes-versicolor"}))
    assert names[:2] == ["Trametes versicolor", "Fomes fomentarius"]
    assert len(names) == 6


def test_several_taxa_make_a_sheet_of_just_these_in_their_order(member: Client) -> None:
    page = member.get(PAGE, {"taxon": ["fomes-fomentarius", "stereum-hirsutum"]})
    assert letters_of(page) == ["Fomes fomentarius", "Stereum hirsutum"]


def test_more_than_eight_end_with_the_eighth(member: Client) -> None:
    slugs = list(Taxon.objects.values_list("slug", flat=True)[:12])
    assert len(letters_of(member.get(PAGE, {"taxon": slugs}))) == 8


def test_the_page_says_what_parts_them_and_numbers_its_sources(member: Client, reference: Reference) -> None:
    page = member.get(PAGE, {"taxon": ["trametes-versicolor", "stereum-hirsutum"]}).content.decode()
    assert "Parts A from B" in page
    assert "<i>Trametes versicolor</i>" in page
    assert '<li value="1">' in page


@pytest.mark.parametrize(
    ("typed", "taxon"),
    [
        ("Fomes fomentarius", "fomes-fomentarius"),
        ("polyporus fomentarius", "fomes-fomentarius"),
        ("turkey tail", "trametes-versicolor"),
    ],
)
def test_a_typed_name_leads_to_its_sheet(typed: str, taxon: str, member: Client) -> None:
    answer = member.get(PAGE, {"name": [typed, "", " "]})
    assert (answer.status_code, answer["Location"]) == (302, f"/pocket/?taxon={taxon}")


def test_a_name_that_is_not_known_comes_back_as_typed_with_the_near_one_proposed(member: Client) -> None:
    answer = member.get(PAGE, {"name": ["Stereum hirsutum", "Trametes versicolour"]})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="Trametes versicolour"' in page
    assert 'value="Stereum hirsutum"' in page
    assert "Did you mean Trametes versicolor" in page


def test_the_boxes_after_the_first_are_folded_until_one_of_them_is_used(member: Client) -> None:
    def fold(page: str) -> str:
        return page.partition("pocket-choose")[2].partition("<details")[2].partition(">")[0]

    assert "open" not in fold(member.get(PAGE).content.decode())
    tried = member.get(PAGE, {"name": ["", "Trametes versicolour"]})
    assert "open" in fold(tried.content.decode())


def test_the_sources_are_folded_away_and_counted(member: Client) -> None:
    page = member.get(PAGE, {"taxon": ["trametes-versicolor", "stereum-hirsutum"]}).content.decode()
    listed = page.partition("sources behind the numbers</summary>")[2].partition("</details>")[0]
    assert f"The {listed.count('<li')} sources behind the numbers" in page


def test_no_name_at_all_asks_for_one(member: Client) -> None:
    answer = member.get(PAGE, {"name": ["", ""]})
    assert (answer.status_code, "Type at least one" in answer.content.decode()) == (422, True)


@pytest.mark.parametrize("address", [PAGE, SHEET])
def test_an_unknown_taxon_is_no_page_but_a_way_on(address: str, member: Client) -> None:
    answer = member.get(address, {"taxon": ["trametes-versicolor", "trametes-nusquam"]})
    assert answer.status_code == 404
    assert "Choose them anew" in answer.content.decode()


@pytest.mark.parametrize(("paper", "width_mm"), [("a4", 297), ("us-letter", 279.4), ("nonsense", 297)])
def test_the_sheet_prints_on_the_paper_asked_for(paper: str, width_mm: float, member: Client) -> None:
    Club.objects.create(name="Hollin Fungus Group")
    answer = member.get(SHEET, {"taxon": "trametes-versicolor", "paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    assert size_mm(answer.content)[0] == pytest.approx(width_mm, abs=0.05)
    assert "Hollin Fungus Group" in text_of(answer.content)


def test_the_page_links_the_pdf_of_the_same_taxa(member: Client) -> None:
    page = member.get(PAGE, {"taxon": ["fomes-fomentarius", "stereum-hirsutum"]}).content.decode()
    assert "sheet.pdf?taxon=fomes-fomentarius&amp;taxon=stereum-hirsutum&amp;paper=a4" in page


def test_what_a_phone_keeps_holds_nothing_personal(member: Client, collector: Member) -> None:
    page = member.get(PAGE, {"taxon": "trametes-versicolor", "kept": "1"}).content.decode()
    assert "csrfmiddlewaretoken" not in page
    assert collector.full_name not in page
    assert "No guide to eating" in page
    assert "Trametes versicolor" in page


def test_a_strange_address_does_no_harm(member: Client) -> None:
    answer = member.get(PAGE, {"taxon": '"><script>', "name_": "x"})
    assert answer.status_code == 404
    assert "<script>" not in answer.content.decode().replace('<script type="module"', "")


def test_a_taxon_s_page_leads_to_its_sheet(member: Client) -> None:
    assert "/pocket/?taxon=trametes-versicolor" in member.get("/taxa/trametes-versicolor/").content.decode()
