"""A member's own list: every find of theirs, exact, for them alone; long ones in parts."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.people.models import Member
from ledger.reports import own, sheet
from ledger.reports.asked import own_choices
from tests.factories import FindFactory, TaxonFactory, name_find
from tests.ledger.reports.reading import pages_of, text_of
from vouchers.register.actions import accession

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 12, 2, 19, 30, tzinfo=UTC)
SECRET = "Split Oak Dingle"


@pytest.fixture(autouse=True)
def _club(db: None) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")


def printed(desk: Client, of: Member, **asked: str) -> bytes:
    answer: Any = desk.get(reverse("own-list-pdf", args=[of.pk]), asked)
    assert answer["Content-Type"] == "application/pdf"
    return bytes(answer.content)


def shown(desk: Client, of: Member, **asked: str) -> str:
    return str(desk.get(reverse("own-list", args=[of.pk]), asked).content.decode())


def serials(text: str) -> list[int]:
    return [int(serial) for serial in re.findall(r"\bAT (\d+)\b", text)]


@pytest.fixture
def desk(collector: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(collector)


def test_a_kept_back_place_is_exact_on_it_and_every_print_says_for_whom_it_is(
    collector: Member, desk: Client
) -> None:
    FindFactory(
        finder=collector, own_blur_step_deg=0.1, locality=SECRET, latitude=51.471234, longitude=-2.598765
    )
    for text in (text_of(printed(desk, collector)), shown(desk, collector)):
        assert SECRET in text and "51.471" in text and "kept back from others" in text
        assert "For Ada Thorne alone. It tells exact places, those that are kept back from others too" in text


def test_finds_of_others_are_not_in_it(collector: Member, stranger: Member, desk: Client) -> None:
    FindFactory(finder=collector, locality="By the pond")
    FindFactory(finder=stranger, logged_by=collector, locality="By the mill")
    text = text_of(printed(desk, collector))
    assert "By the pond" in text and "By the mill" not in text and "1 find," in text


def test_it_stands_by_day_by_taxon_or_by_number(collector: Member, desk: Client) -> None:
    for serial, day, name in (
        (1, 5, "Trametes versicolor"),
        (3, 1, "Stereum hirsutum"),
        (2, 9, "Stereum hirsutum"),
    ):
        find = FindFactory(finder=collector, collecting_serial=serial, found_on=date(2026, 10, day))
        name_find(find, TaxonFactory(name=name))
    orders = {
        "": [2, 1, 3],
        "earliest": [3, 1, 2],
        "name": [2, 3, 1],
        "number": [1, 2, 3],
        "nonsense": [2, 1, 3],
    }
    for order, wanted in orders.items():
        assert serials(text_of(printed(desk, collector, order=order))) == wanted
        assert [int(n) for n in re.findall(r'row">AT (\d+)', shown(desk, collector, order=order))] == wanted


def test_year_and_taxon_of_the_address_are_kept_to(collector: Member, desk: Client) -> None:
    for serial, year, name in (
        (1, 2025, "Trametes versicolor"),
        (2, 2026, "Trametes versicolor"),
        (3, 2026, "Stereum hirsutum"),
    ):
        find = FindFactory(finder=collector, collecting_serial=serial, found_on=date(year, 12, 31))
        name_find(find, TaxonFactory(name=name))
    assert serials(text_of(printed(desk, collector, year="2026", order="number"))) == [2, 3]
    text = text_of(printed(desk, collector, year="2026", taxon="trametes-versicolor"))
    assert serials(text) == [2] and "2026, Trametes versicolor, 1 find, 1 taxon of the reference" in text


@pytest.mark.parametrize("typed", ["99999", "1", "x"])
def test_a_year_or_taxon_that_is_none_is_told_and_all_shown(
    typed: str, collector: Member, desk: Client
) -> None:
    FindFactory(finder=collector, collecting_serial=7)
    page = shown(desk, collector, year=typed, taxon="no such thing")
    assert "is no year" in page and "no taxon called “no such thing”" in page and "AT 7" in page
    assert own_choices({"year": typed})[0].year is None


def test_standing_determiner_and_specimen_stand_with_a_find(
    collector: Member, curator: Member, desk: Client
) -> None:
    find = FindFactory(finder=collector, status="settled")
    name_find(find, TaxonFactory(), determiner=curator, name_typed="Coriolus versicolor")
    voucher = accession(find.pk, by=curator, now=NOW)
    text = text_of(printed(desk, collector))
    assert "Coriolus versicolor = Trametes versicolor (L.) Lloyd det. CB, 3 Oct 2026" in text
    assert f"settled accessioned as {voucher} packet; in the club’s collection" in text


def test_a_find_of_a_guest_says_whose_it_is(collector: Member, desk: Client) -> None:
    FindFactory(finder=collector, found_by="Gwen Guest")
    assert "found by Gwen Guest" in text_of(printed(desk, collector))


def test_notes_and_answers_are_not_in_it(collector: Member, desk: Client) -> None:
    FindFactory(finder=collector, note="Key under the mat", permission="Mrs Holt", trees_nearby="Gate 4711")
    for text in (text_of(printed(desk, collector)), shown(desk, collector)):
        assert not any(private in text for private in ("under the mat", "Mrs Holt", "4711"))


def test_a_member_without_finds_has_an_empty_list(collector: Member, desk: Client) -> None:
    assert "No find is like this." in text_of(printed(desk, collector))


def test_a_long_list_is_printed_in_parts_that_hold_every_find_once(
    collector: Member, desk: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (own, sheet):
        monkeypatch.setattr(module, "ROWS_IN_A_PART", 4)
    for serial in range(1, 11):
        FindFactory(finder=collector, collecting_serial=serial)
    page = shown(desk, collector, order="number")
    assert "US letter, part 3 of 3" in page and "print.pdf?order=number&amp;paper=a4&amp;part=3" in page
    parts = [printed(desk, collector, order="number", part=str(part)) for part in (1, 2, 3)]
    assert [serials(text_of(part)) for part in parts] == [[1, 2, 3, 4], [5, 6, 7, 8], [9, 10]]
    assert "part 2 of 3" in pages_of(parts[1])[0]
    assert serials(text_of(printed(desk, collector, order="number", part="99"))) == [1, 2, 3, 4]


def test_the_page_goes_on_where_it_ended(
    collector: Member, desk: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(own, "ON_A_PAGE", 3)
    for serial in range(1, 6):
        FindFactory(finder=collector, collecting_serial=serial)
    first = shown(desk, collector, order="number")
    assert re.findall(r'row">AT (\d+)', first) == ["1", "2", "3"]
    (mark,) = re.findall(r'rel="next" href="\?order=number&amp;after=([\w-]+)"', first)
    assert re.findall(r'row">AT (\d+)', shown(desk, collector, order="number", after=mark)) == ["4", "5"]


def test_the_member_and_curators_alone_make_it(
    collector: Member,
    curator: Member,
    stranger: Member,
    leader: Member,
    browser_of: Callable[[Member], Client],
) -> None:
    for name in ("own-list", "own-list-pdf"):
        address = reverse(name, args=[collector.pk])
        answers = [browser_of(who).get(address).status_code for who in (collector, curator, stranger, leader)]
        assert answers == [200, 200, 404, 404]


def test_my_page_leads_to_my_own_list(collector: Member, desk: Client) -> None:
    assert reverse("own-list", args=[collector.pk]) in desk.get(reverse("me")).content.decode()
