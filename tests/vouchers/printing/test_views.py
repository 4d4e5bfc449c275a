"""The labels page as leaders and curators see it."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.factories import DeterminationFactory, FindFactory, FlagFactory, name_find
from vouchers.register.actions import accession

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
Browsers = Callable[[Member], Client]


def test_a_row_tells_an_open_doubt_and_a_stop(curator: Member, browser_of: Browsers) -> None:
    for code in ("place_missing", "date_future"):
        accession(FlagFactory(code=code).find.pk, by=curator, now=NOW)
    page = browser_of(curator).get(reverse("labels")).content.decode()
    assert "open doubt on place: prints as recorded" in page and "mark--doubt" in page
    assert "not printed while its stop flag is open" in page and "mark--stop" in page


def test_a_row_says_whether_it_has_a_slip(curator: Member, browser_of: Browsers) -> None:
    find = FindFactory()
    DeterminationFactory(find=find, taxon=None, name_typed="Stereum", made_at=NOW - timedelta(days=9))
    name_find(find, None, name_typed="Stereum hirsutum", made_at=NOW, determined_on=date(2026, 11, 2))
    accession(find.pk, by=curator, now=NOW)
    accession(name_find(FindFactory(), None, name_typed="Fomes").find.pk, by=curator, now=NOW)
    page = browser_of(curator).get(reverse("labels")).content.decode()
    assert page.count("Slip: determined again") == 1
    assert "Slip: determined again 2 Nov 2026" in page


def test_what_is_refused_is_told_before_anything_is_printed(curator: Member, browser_of: Browsers) -> None:
    flag = FlagFactory(code="date_future", severity="stop", sentence="The find is dated 2 May 2031.")
    voucher = accession(flag.find.pk, by=curator, now=NOW)
    asked = {"vouchers": [voucher.pk], "sheet": "packet", "paper": "a4"}
    answer = browser_of(curator).post(reverse("labels"), asked)
    assert answer.status_code == 422
    assert "The find is dated 2 May 2031. Decide on it at the bench, then print." in answer.content.decode()


def test_a_leader_does_not_find_a_label_by_its_locality(
    curator: Member, leader: Member, browser_of: Browsers
) -> None:
    voucher = accession(FindFactory(locality="Split Oak Dingle").pk, by=curator, now=NOW)
    found = [
        str(voucher) in browser_of(member).get(reverse("labels"), {"q": "dingle"}).content.decode()
        for member in (leader, curator)
    ]
    assert found == [False, True]
