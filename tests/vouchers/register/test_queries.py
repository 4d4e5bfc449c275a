"""What the register answers to."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import Club
from ledger.people.models import Member
from ledger.taxa.models import Synonym
from tests.factories import DeterminationFactory, FindFactory, TaxonFactory, name_find
from tests.people import make_person
from vouchers.register.actions import accession
from vouchers.register.models import Voucher
from vouchers.register.queries import for_list, keys_for, page_for

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)


@pytest.fixture
def voucher(curator: Member) -> Voucher:
    """Of an old name, determined twice before under others, with a neighbour that answers to none of it."""
    taxon = TaxonFactory(name="Fomes fomentarius", authority="(L.) Fr.")
    for name in ("Polyporus fomentarius", "Ungulina fomentaria"):
        Synonym.objects.create(taxon=taxon, name=name)
    find = FindFactory(finder=make_person("collector"), collecting_code="PR", collecting_serial=30)
    find.locality = "Split Oak Dingle"
    find.save()
    for typed in ("Ganoderma sp.", "Ganoderma applanatum"):
        DeterminationFactory(find=find, taxon=None, name_typed=typed)
    name_find(find, taxon, name_typed="Elfvingia fomentaria")
    other = FindFactory(collecting_code="QQ", collecting_serial=31, locality="Far Field")
    name_find(other, TaxonFactory(), name_typed="Trametes versicolor")
    accession(other.pk, by=curator, now=NOW)
    return accession(find.pk, by=curator, now=NOW)


def answers(typed: str, *, by_locality: bool = False) -> list[Voucher]:
    return list(page_for(for_list(), typed, None, per_page=50, by_locality=by_locality)[0])


@pytest.mark.parametrize(
    "typed",
    [
        *("elfvingia", "Fomes fomentarius", "polyporus fom", "Ungulina", "Ganoderma applanatum", "ganoderma"),
        *("PR30", "PR 30", "pr 30", "pr-30", "2026-2", "2026-0002", "2026/2", "BL 2026-0002", "bl2026-2"),
    ],
)
def test_a_voucher_answers_once_to_every_name_and_number_it_has(typed: str, voucher: Voucher) -> None:
    assert answers(typed) == [voucher]
    assert keys_for(typed, most=10) == [voucher.pk]


def test_the_locality_is_searched_only_when_asked_for(voucher: Voucher) -> None:
    assert answers("dingle") == []
    assert answers("dingle", by_locality=True) == [voucher]
    assert answers("split dingle", by_locality=True) == [voucher]
    assert answers("split field", by_locality=True) == []


def test_nothing_typed_is_the_whole_register_newest_first(voucher: Voucher) -> None:
    assert [row.serial for row in answers("")] == [2, 1]
    assert len(keys_for("", most=10)) == 2
    assert keys_for("", most=1) == [Voucher.objects.get(serial=1).pk]


@pytest.mark.parametrize("typed", ["fomentaria", "PR30", "2026-2"])
def test_the_rows_of_a_search_bring_all_they_show(
    typed: str, voucher: Voucher, django_assert_num_queries: Any
) -> None:
    rows = answers(typed, by_locality=True)
    with django_assert_num_queries(0):
        assert [str(row.find.current_determination.taxon) for row in rows]
        assert [row.find.finder.full_name for row in rows]


def test_the_empty_answer_shows_the_clubs_own_prefix(
    curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    for page in ("vouchers", "labels"):
        answer = browser_of(curator).get(reverse(page), {"q": "zzz"}).content.decode()
        assert "HFG 2026-0118" in answer and "TFG" not in answer


def test_a_page_of_the_register_costs_the_same_with_more_rows(
    curator: Member, browser_of: Callable[[Member], Client], django_assert_max_num_queries: Any
) -> None:
    for _ in range(12):
        accession(name_find(FindFactory(), TaxonFactory()).find.pk, by=curator, now=NOW)
    browser = browser_of(curator)
    with django_assert_max_num_queries(17):
        browser.get(reverse("vouchers"), {"q": "trametes"})
    with django_assert_max_num_queries(19):
        browser.get(reverse("labels"), {"q": "trametes"})
