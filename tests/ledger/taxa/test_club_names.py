"""Names of the club's own: entered by a curator, understood wherever a name is typed, never in place of another."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from ledger.finds import naming
from ledger.people.models import Member
from ledger.taxa import club_names
from ledger.taxa.models import ClubName, Taxon
from ledger.taxa.queries import current_pack
from tests.factories import FindFactory, name_find

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


@pytest.fixture
def taxon() -> Taxon:
    one = Taxon.objects.get(name="Fomes fomentarius")
    one.vernacular = "tinder fungus; tinder polypore"
    one.save()
    return one


@pytest.fixture
def row(taxon: Taxon, curator: Member) -> ClubName:
    return club_names.add(
        taxon, name="Zunderschwamm", language="de", source="the club", by=curator, now=timezone.now()
    )


def test_a_name_of_the_club_is_read_as_its_latin_one(row: ClubName) -> None:
    named = naming.read("zunderschwamm")
    assert (named.written, named.vernacular_typed) == ("Fomes fomentarius", "zunderschwamm")
    assert named.note == "Zunderschwamm is a name that the club has for Fomes fomentarius"


def test_the_old_names_are_understood_as_before(row: ClubName) -> None:
    assert [naming.read(name).taxon for name in ("tinder fungus", "Fomes fomentarius")] == [
        "Fomes fomentarius"
    ] * 2


def test_a_name_no_longer_used_still_finds_the_taxon(row: ClubName, curator: Member) -> None:
    club_names.end(row, by=curator, now=timezone.now())
    assert naming.read("Zunderschwamm").taxon == "Fomes fomentarius"


def test_the_phone_is_given_it_too(row: ClubName) -> None:
    assert "Zunderschwamm" in current_pack()[0].decode()


def test_it_is_entered_once(row: ClubName, taxon: Taxon, curator: Member) -> None:
    with pytest.raises(club_names.NameRefused, match="is there already"):
        club_names.add(
            taxon, name="Zunderschwamm", language="de", source="me", by=curator, now=timezone.now()
        )
    assert ClubName.objects.count() == 1


def test_a_curator_enters_and_ends_it_on_the_taxon_s_page(
    taxon: Taxon, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    browser = browser_of(curator)
    sent = {"name": "Zunderschwamm", "language": "de", "source": "the club"}
    page = browser.post(reverse("add-club-name", args=[taxon.slug]), sent, follow=True).content.decode()
    assert '<span lang="de">Zunderschwamm</span>' in page
    row = taxon.club_names.get()
    page = browser.post(reverse("end-club-name", args=[taxon.slug, row.pk]), follow=True).content.decode()
    assert '<span lang="de">Zunderschwamm</span>' not in page and "no longer used since" in page
    assert taxon.club_names.get().ended_by == curator


def test_a_name_without_its_source_is_not_entered_and_what_was_typed_comes_back(
    taxon: Taxon, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    answer = browser_of(curator).post(
        reverse("add-club-name", args=[taxon.slug]), {"name": "Zunderschwamm", "language": "de"}
    )
    assert (answer.status_code, ClubName.objects.count()) == (422, 0)
    assert 'value="Zunderschwamm"' in answer.content.decode()


@pytest.mark.parametrize(("asked", "is_shown"), [("de", True), ("en-GB", False)])
def test_it_stands_beside_the_latin_name_for_those_who_read_its_language(
    asked: str,
    is_shown: bool,
    row: ClubName,
    taxon: Taxon,
    collector: Member,
    browser_of: Callable[[Member], Client],
) -> None:
    find = FindFactory(finder=collector)
    name_find(find, taxon)
    page = browser_of(collector).get(reverse("find-page", args=[find.pk]), headers={"accept-language": asked})
    assert ("Zunderschwamm" in page.content.decode()) is is_shown


def test_the_list_of_taxa_is_searched_by_it(
    row: ClubName, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    page = browser_of(collector).get("/taxa/?q=zunder").content.decode()
    assert "Fomes fomentarius" in page and "Trametes versicolor" not in page


def test_finds_are_searched_by_it(
    row: ClubName, taxon: Taxon, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    find = FindFactory(finder=collector)
    name_find(find, taxon)
    page = browser_of(collector).get("/finds/?q=zunderschwamm").content.decode()
    assert "named Fomes fomentarius" in page


def test_names_that_come_with_the_ledger_are_loaded_once_and_what_was_ended_stays_so(curator: Member) -> None:
    names = club_names.read(FIXTURES)
    loaded = club_names.load(names, now=timezone.now())
    club_names.end(ClubName.objects.first(), by=curator, now=timezone.now())
    assert (loaded, club_names.load(names, now=timezone.now())) == (len(names), 0)


def test_each_name_that_comes_with_the_ledger_is_read_as_one_taxon() -> None:
    names = club_names.read(FIXTURES)
    club_names.load(names, now=timezone.now())
    assert [one.name for one in names if naming.read(one.name).taxon != one.taxon] == []
