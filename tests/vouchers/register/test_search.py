"""What is typed into the register: the few are gathered, of the many the newest are read, and both answer alike."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from ledger.search import keeping
from ledger.taxa.models import Synonym
from tests.factories import DeterminationFactory, FindFactory, TaxonFactory, name_find
from tests.people import make_person
from vouchers.register import search
from vouchers.register.actions import accession
from vouchers.register.queries import for_list, page_for
from vouchers.register.search import Found, names_not_shown

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


@pytest.fixture
def register(curator: Member) -> None:
    """Twelve vouchers of three taxa, two finders, a guest and four places; some named otherwise before."""
    tinder = TaxonFactory(name="Fomes fomentarius", authority="(L.) Fr.")
    Synonym.objects.create(taxon=tinder, name="Polyporus fomentarius")
    taxa = [tinder, TaxonFactory(name="Trametes gibbosa"), TaxonFactory(name="Trametes hirsuta")]
    finders = [make_person("collector"), make_person("stranger")]
    for number in range(12):
        find = FindFactory(
            finder=finders[number % 2],
            collecting_code="PR",
            collecting_serial=number + 1,
            found_by="Wilma Hedge" if number == 5 else "",
            locality=("Split Oak Dingle", "Far Field", "Quarry Edge", "Oak Field")[number % 4],
        )
        if number % 5 == 0:
            DeterminationFactory(find=find, taxon=None, name_typed="Ganoderma applanatum?")
        name_find(find, taxa[number % 3], name_typed=taxa[number % 3].name)
        keeping.keep(find)
        accession(find.pk, by=curator, now=NOW)


SERIALS = {
    "polyporus": [10, 7, 4, 1],
    "trametes": [12, 11, 9, 8, 6, 5, 3, 2],
    "APPLANATUM?": [11, 6, 1],
    "thorne": [11, 9, 7, 5, 3, 1],
    "hedge": [6],
    "oakley": [12, 10, 8, 6, 4, 2],
    "quarry": [11, 7, 3],
    "oak fie": [12, 8, 4],
    "PR 3": [3],
    "2026-4": [4],
    "zzz": [],
    "dingle field": [],
    "100%": [],
}


def serials(keys: list[int]) -> list[int]:
    by_key = {row.pk: row.serial for row in for_list()}
    return [by_key[key] for key in keys]


@pytest.mark.parametrize("typed", SERIALS)
def test_the_few_are_all_there(typed: str, register: None) -> None:
    keys, are_all = Found(typed, by_locality=True).up_to(2)
    assert (serials(keys), are_all) == (SERIALS[typed], True)


@pytest.mark.parametrize("typed", SERIALS)
def test_of_the_many_the_same_ones_are_read_from_the_newest_down(
    typed: str, register: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(search, "MOST_GATHERED", -1)
    monkeypatch.setattr(search, "AT_ONCE", 3)
    found = Found(typed, by_locality=True)
    keys, are_all = found.up_to(2)
    assert (serials(keys), are_all) == (SERIALS[typed][:2], len(SERIALS[typed]) < 2)
    keys, are_all = found.up_to(100)
    assert (serials(keys), are_all) == (SERIALS[typed], True)


def test_rows_are_counted_before_they_are_finds(register: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight determinations are of Trametes: seven that were read would not be all, however few finds they are of."""
    monkeypatch.setattr(search, "MOST_GATHERED", 7)
    assert serials(Found("trametes").up_to(3)[0]) == [12, 11, 9]


def test_pages_of_the_many_follow_one_another_and_name_no_count(
    register: None,
    curator: Member,
    browser_of: Callable[[Member], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(search, "MOST_GATHERED", 1)
    pages = [page_for(for_list(), "trametes", str(number), per_page=3) for number in (1, 2, 3)]
    assert [[row.serial for row in page] for page, _ in pages] == [[12, 11, 9], [8, 6, 5], [3, 2]]
    assert [goes_on for _, goes_on in pages] == [True, True, False]
    assert [row.serial for row in page_for(for_list(), "trametes", "77", per_page=3)[0]] == [3, 2]
    assert [row.serial for row in page_for(for_list(), "trametes", "0", per_page=3)[0]] == [12, 11, 9]
    monkeypatch.setattr("vouchers.register.views.PER_PAGE", 3)
    shown = browser_of(curator).get(reverse("vouchers"), {"q": "trametes"}).content.decode()
    assert "1–3 of many" in shown and "page=2" in shown


@pytest.mark.parametrize("typed", ["änne", "ÄNNE ÖHLER", "öhl"])
def test_a_finder_is_met_in_small_letters_and_in_capitals_whatever_the_letters(
    typed: str, collector: Member, curator: Member
) -> None:
    collector.full_name = "Änne Öhler"
    collector.save()
    accession(name_find(FindFactory(finder=collector), TaxonFactory()).find.pk, by=curator, now=NOW)
    assert len(Found(typed).up_to(3)[0]) == 1


def test_an_answer_says_how_many_they_are_and_where_each_was_found(
    register: None, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    shown = browser_of(curator).get(reverse("vouchers"), {"q": "quarry"}).content.decode()
    assert "3 vouchers answer to “quarry”" in shown and shown.count("Quarry Edge") == 3


def test_what_waits_is_not_in_the_way_of_an_answer(
    register: None,
    curator: Member,
    browser_of: Callable[[Member], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("vouchers.register.views.waiting_sentence", lambda _: "Nine finds wait.")
    desk = browser_of(curator)
    assert "Nine finds wait." in desk.get(reverse("vouchers")).content.decode()
    assert "Nine finds wait." not in desk.get(reverse("vouchers"), {"q": "quarry"}).content.decode()


def test_labels_are_not_offered_for_all_that_nobody_counted(
    register: None,
    curator: Member,
    browser_of: Callable[[Member], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("vouchers.printing.views.PER_PAGE", 3)
    asked = {"q": "trametes"}
    assert 'name="every"' in browser_of(curator).get(reverse("labels"), asked).content.decode()
    monkeypatch.setattr(search, "MOST_GATHERED", 1)
    assert 'name="every"' not in browser_of(curator).get(reverse("labels"), asked).content.decode()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("polyporus", {"Polyporus fomentarius"}),
        ("applanatum", {"Ganoderma applanatum?"}),
        ("fomes", set()),
        ("thorne", set()),
        ("dingle", set()),
        ("oak fie", set()),
    ],
)
def test_a_row_tells_the_name_it_answers_by_where_it_shows_another(
    typed: str, told: set[str], register: None, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    rows = list(page_for(for_list(), typed, None, per_page=50, by_locality=True)[0])
    names = names_not_shown(typed, [(row, row.find.locality) for row in rows])
    assert (set(names.values()), len(names)) == (told, len(rows) if told else 0)
    page = browser_of(curator).get(reverse("vouchers"), {"q": typed}).content.decode()
    assert page.count("also named") == len(names)
