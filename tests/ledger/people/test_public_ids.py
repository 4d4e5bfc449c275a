"""Public identifiers on a member's own page and on the club's."""

from collections.abc import Callable

from django.test import Client
from django.urls import reverse

from ledger.club.models import LICENCES, Club
from ledger.people.models import Member


def test_a_member_gives_an_orcid_and_takes_it_away_again(
    collector: Member, browser_of: Callable[[Member], Client]
):
    browser = browser_of(collector)
    browser.post(reverse("me"), {"full_name": "Ada Thorne", "public_id": "0000-0002-1825-0097"})
    collector.refresh_from_db()
    assert collector.public_id == "https://orcid.org/0000-0002-1825-0097"
    browser.post(reverse("me"), {"full_name": "Ada Thorne", "public_id": ""})
    collector.refresh_from_db()
    assert collector.public_id == ""


def test_one_that_is_none_is_refused_and_what_was_typed_stays(
    collector: Member, browser_of: Callable[[Member], Client]
):
    sent = {"full_name": "Ada Thorn", "public_id": "0000-0002-1825-0098"}
    page = browser_of(collector).post(reverse("me"), sent).content.decode()
    collector.refresh_from_db()
    assert "its last sign does not go with the others" in page
    assert 'value="0000-0002-1825-0098"' in page
    assert (collector.full_name, collector.public_id) == ("Ada Thorne", "")


def test_the_club_gives_its_identifier_and_a_licence(keeper: Member, browser_of: Callable[[Member], Client]):
    club = Club.objects.create(name="Hollin Fungus Group", accession_prefix="HFG")
    browser = browser_of(keeper)
    given = {"name": club.name, "accession_prefix": "HFG", "time_zone": "UTC"}
    sent = {**given, "public_id": "02y3ad647", "licence": LICENCES[0][0]}
    assert browser.post(reverse("club"), sent).status_code == 302
    club.refresh_from_db()
    assert (club.public_id, club.licence) == ("https://ror.org/02y3ad647", LICENCES[0][0])
    refused = browser.post(reverse("club"), {**sent, "public_id": "our shed", "licence": "mine"})
    assert "is no public identifier" in refused.content.decode()
