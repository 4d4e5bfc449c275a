"""From a stored voucher to its level; the panel and the list for curators."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.club.models import LICENCES, Club
from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, make_photo, name_find
from vouchers.mids import queries
from vouchers.mids.gather import coordinate_precision, record_of
from vouchers.mids.hints import hint_of
from vouchers.mids.levels import ELEMENTS
from vouchers.parts.models import Part
from vouchers.register.actions import accession
from vouchers.register.models import Voucher

NOW = datetime(2026, 10, 10, tzinfo=UTC)


@pytest.fixture
def club(db: None) -> Club:
    return Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG", licence=LICENCES[1][0])


def make_voucher(curator: Member, **given: Any) -> Voucher:
    find = FindFactory(**given)
    name_find(find, TaxonFactory())
    make_photo(find=find, by=curator)
    return accession(find.pk, by=curator, now=NOW)


def of(voucher: Voucher) -> queries.Measured:
    (row,) = queries.measured(queries.for_completeness(Voucher.objects.filter(pk=voucher.pk)))
    return row


def lacking(voucher: Voucher) -> list[str]:
    return [element.code for element in of(voucher).completeness.missing]


def test_a_good_find_of_a_club_with_a_licence_is_at_level_two(club: Club, curator: Member):
    assert of(make_voucher(curator)).completeness.level == 2


def test_identifiers_of_club_and_people_count(club: Club, curator: Member):
    voucher = make_voucher(curator)
    before = lacking(voucher)
    club.public_id = "https://ror.org/02y3ad647"
    club.save()
    Member.objects.update(public_id="https://orcid.org/0000-0002-1825-0097")
    assert set(before) - set(lacking(voucher)) == {"OrganizationID", "CollectingAgentID", "IdentifiedByID"}
    # Not claimed: no identifiers of names in the reference, no address of a photo outside the club.
    assert lacking(voucher) == ["IdentifiedAsID", "MediaID"]


def test_a_guest_and_another_s_opinion_bear_no_member_s_identifier(club: Club, curator: Member):
    Member.objects.update(public_id="https://orcid.org/0000-0002-1825-0097")
    voucher = make_voucher(curator, found_by="A. Guest")
    named = voucher.find.current_determination
    named.determiner_name = "Somebody Else"
    named.save()
    record = record_of(queries.for_completeness(Voucher.objects.all()).get(pk=voucher.pk), club)
    assert (record["dwc:recordedByID"], record["dwc:identifiedByID"]) == ("", "")


@pytest.mark.parametrize(
    ("given", "code", "level"),
    [
        ({"latitude": None, "longitude": None}, "QuantitativeLocation", 1),
        ({"latitude": 0.0, "longitude": 0.0}, None, 2),
        ({"found_on": None}, "DateCollected", 1),
        ({"locality": ""}, "QualitativeLocation", 1),
    ],
)
def test_what_is_not_stored_is_missing(
    club: Club, curator: Member, given: dict[str, Any], code: str | None, level: int
):
    voucher = make_voucher(curator, **given)
    assert of(voucher).completeness.level == level
    assert code is None or lacking(voucher) == [code]


def test_a_sensitive_place_counts_by_what_is_stored(club: Club, curator: Member):
    assert of(make_voucher(curator, own_blur_step_deg=1.0)).completeness.level == 2


def test_no_licence_no_name_no_part_and_no_club_are_told(curator: Member):
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    Part.objects.update(ended_at=NOW, ended_why="lost")
    assert (of(voucher).completeness.level, lacking(voucher)) == (None, ["Organization"])
    Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    assert lacking(voucher) == ["Name", "ObjectType", "License"]


@pytest.mark.parametrize(
    ("latitude", "longitude", "step"),
    [
        (51.23456, -2.3, "0.00001"),
        (51.0, -2.0, "1"),
        (0.1 + 0.2, 5.0, "0.1"),
        (None, 2.0, ""),
    ],
)
def test_the_precision_is_the_finer_step_of_the_pair(
    latitude: float | None, longitude: float | None, step: str
):
    assert coordinate_precision(latitude, longitude) == step


@pytest.mark.parametrize("element", ELEMENTS, ids=lambda element: element.code)
def test_every_element_says_what_to_do(element: Any):
    assert hint_of(element).words


class TestNearlyThere:
    def test_one_short_stands_before_two_short_and_three_short_is_not_in_it(
        self, club: Club, curator: Member
    ):
        two = make_voucher(curator, found_on=None, locality="")
        one = make_voucher(curator, found_on=None)
        make_voucher(curator, found_on=None, locality="", latitude=None)
        assert [row.voucher for row in queries.overview().nearly] == [one, two]
        assert [row.voucher for row in queries.overview("QualitativeLocation").nearly] == [two]

    def test_a_deaccessioned_one_is_not_counted(self, club: Club, curator: Member):
        voucher = make_voucher(curator)
        Voucher.objects.filter(pk=voucher.pk).update(deaccessioned_at=NOW)
        assert queries.overview().many == 0

    def test_a_thousand_vouchers_take_the_same_few_queries_and_little_time(
        self, club: Club, curator: Member, django_assert_num_queries: Any
    ):
        taxon = TaxonFactory()
        finds = FindFactory.build_batch(1000, finder=curator, logged_by=curator)
        type(finds[0]).objects.bulk_create(finds)
        Voucher.objects.bulk_create(
            Voucher(
                find=find,
                prefix="HFG",
                year=2026,
                serial=number,
                accessioned_at=NOW,
                accessioned_by=curator,
            )
            for number, find in enumerate(finds, start=1)
        )
        Part.objects.bulk_create(
            Part(voucher=one, kind="packet", made_at=NOW, made_by=curator) for one in Voucher.objects.all()
        )
        name_find(finds[0], taxon)
        began = time.perf_counter()
        with django_assert_num_queries(4):
            found = queries.overview()
        assert found.many == 1000
        assert time.perf_counter() - began < 5  # 0.2 s on an idle machine; a busy one is no failure

    def test_the_page_says_what_is_missing_and_what_to_do(
        self, club: Club, curator: Member, browser_of: Callable[[Member], Client]
    ):
        voucher = make_voucher(curator, found_on=None)
        page = browser_of(curator).get(reverse("nearly-there")).content.decode()
        assert str(voucher) in page
        assert "enter the day" in page

    def test_what_the_club_lacks_is_said_once_with_whom_to_ask_and_each_voucher_beyond_it(
        self, club: Club, curator: Member, keeper: Member, browser_of: Callable[[Member], Client]
    ):
        Club.objects.update(licence="")
        lacks_a_day, whole = make_voucher(curator, found_on=None), make_voucher(curator)
        found = queries.overview()
        assert [(hint.code, many) for hint, many in found.of_the_club] == [("License", 2)]
        assert [(row.voucher, [hint.code for hint in row.hints_beyond]) for row in found.nearly] == [
            (lacks_a_day, ["DateCollected"])
        ]
        assert of(whole).completeness.level == 0
        page = browser_of(curator).get(reverse("nearly-there")).content.decode()
        assert page.count("choose a licence") == 1 and f"ask {keeper.full_name}" in page
        assert reverse("club") not in page.split("<main")[1]
        page = browser_of(keeper).get(reverse("nearly-there")).content.decode()
        assert reverse("club") in page.split("<main")[1]

    def test_an_unknown_element_in_the_address_shows_all(
        self, club: Club, curator: Member, browser_of: Callable[[Member], Client]
    ):
        make_voucher(curator, found_on=None)
        answer = browser_of(curator).get(reverse("nearly-there"), {"lacking": "Nothing", "page": "x"})
        assert len(answer.context["page"].object_list) == 1


def test_the_voucher_s_page_says_its_level(
    club: Club, curator: Member, browser_of: Callable[[Member], Client]
):
    voucher = make_voucher(curator)
    page = browser_of(curator).get(reverse("voucher", args=[voucher.slug])).content.decode()
    assert "MIDS 2, intermediate" in page
    assert "Missing for MIDS 3" in page
