"""The labels page as leaders and curators see it."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.factories import DeterminationFactory, FindFactory, FlagFactory, name_find
from vouchers.printing import views
from vouchers.printing.models import PrintedLabel
from vouchers.register.actions import accession
from vouchers.store.actions import make_places

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
    voucher = accession(flag.find.pk, by=curator, now=NOW, despite={flag.pk})
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


def test_a_label_printed_before_is_told_before_it_is_printed_again(
    curator: Member, browser_of: Browsers
) -> None:
    find = FindFactory()
    asked = {"vouchers": [accession(find.pk, by=curator, now=NOW).pk], "sheet": ["packet"], "paper": "a4"}
    browser = browser_of(curator)
    first = browser.post(reverse("labels"), asked)
    assert (first.status_code, first["Content-Type"]) == (200, "application/pdf")
    name_find(find, None, name_typed="Stereum hirsutum", made_at=NOW)
    page = browser.post(reverse("labels"), asked)
    assert page.status_code == 422
    assert "Made before" in page.content.decode() and "not named" in page.content.decode()
    key = PrintedLabel.objects.get().key
    again = browser.post(reverse("labels"), asked | {"anyway": "1", "again": [key]})
    assert again["Content-Type"] == "application/pdf"
    assert PrintedLabel.objects.count() == 2


def test_one_tick_makes_only_the_labels_that_were_never_made(curator: Member, browser_of: Browsers) -> None:
    made, fresh = (accession(FindFactory().pk, by=curator, now=NOW) for _ in range(2))
    browser = browser_of(curator)
    sent = {"sheet": ["tags"], "paper": "a4", "vouchers": [made.pk]}
    assert browser.post(reverse("labels"), sent).headers["Content-Type"] == "application/pdf"
    both = sent | {"vouchers": [made.pk, fresh.pk], "new_only": "1"}
    assert browser.post(reverse("labels"), both).headers["Content-Type"] == "application/pdf"
    assert list(PrintedLabel.objects.values_list("voucher", flat=True)) == [made.pk, fresh.pk]
    again = browser.post(reverse("labels"), both)
    assert again.status_code == 422 and "No PDF was made" in again.content.decode()


def test_when_nothing_is_ticked_again_nothing_is_printed(curator: Member, browser_of: Browsers) -> None:
    asked = {
        "vouchers": [accession(FindFactory().pk, by=curator, now=NOW).pk],
        "sheet": ["tags"],
        "paper": "a4",
    }
    browser = browser_of(curator)
    browser.post(reverse("labels"), asked)
    page = browser.post(reverse("labels"), asked | {"anyway": "1"})
    assert page.status_code == 422 and "none was ticked" in page.content.decode()
    assert PrintedLabel.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"sheet": []}, "Nothing to print was chosen"),
        ({"sheet": ["places"]}, "not on the list"),
        ({"sheet": ["tubes-roll", "packet"]}, "A roll goes to a printer of its own"),
        ({"vouchers": []}, "No voucher was chosen"),
        ({"vouchers": ["9999999999999999999999"]}, "not in the register"),
        ({"paper": "a5"}, "There is no such paper"),
    ],
)
def test_a_wrong_choice_prints_nothing_and_says_what_to_do(
    changed: dict[str, Any], sentence: str, curator: Member, browser_of: Browsers
) -> None:
    voucher = accession(FindFactory().pk, by=curator, now=NOW)
    asked = {"vouchers": [voucher.pk], "sheet": ["packet"], "paper": "a4"} | changed
    page = browser_of(curator).post(reverse("labels"), asked)
    assert page.status_code == 422 and sentence in page.content.decode()
    assert not PrintedLabel.objects.exists()


def test_all_that_a_search_finds_is_printed_at_once(curator: Member, browser_of: Browsers) -> None:
    for name in ("Fomes fomentarius", "Fomes fomentarius", "Stereum hirsutum"):
        accession(name_find(FindFactory(), None, name_typed=name).find.pk, by=curator, now=NOW)
    asked = {"every": "1", "sheet": ["tags"], "paper": "a4"}
    answer = browser_of(curator).post(reverse("labels") + "?q=fomes", asked)
    assert answer["Content-Type"] == "application/pdf"
    assert [row.number for row in PrintedLabel.objects.all()] == ["BL 2026-0001", "BL 2026-0002"]


def test_more_than_a_thousand_labels_are_refused(
    curator: Member, browser_of: Browsers, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(views, "MOST", 1)
    numbers = [accession(FindFactory().pk, by=curator, now=NOW).pk for _ in range(2)]
    asked = {"vouchers": numbers, "sheet": ["tags"], "paper": "a4"}
    page = browser_of(curator).post(reverse("labels"), asked)
    assert page.status_code == 422 and "2 labels at once are refused" in page.content.decode()


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({}, "Neither a place nor a tray"),
        ({"first_tray": 9, "last_tray": 3}, "swap them"),
        ({"first_tray": 1, "last_tray": 900}, "900 tags are refused"),
        ({"places": ["77"]}, "closed or not in the store"),
        ({"places": ["x"]}, "not in the store"),
    ],
)
def test_a_wrong_choice_of_places_prints_nothing(
    asked: dict[str, Any], sentence: str, leader: Member, browser_of: Browsers
) -> None:
    page = browser_of(leader).post(reverse("place-labels"), asked | {"paper": "a4"})
    assert page.status_code == 422 and sentence in page.content.decode()


def test_a_leader_prints_labels_of_places_and_trays(leader: Member, browser_of: Browsers) -> None:
    (room,) = make_places("room", "Herbarium room", None)
    asked = {"places": [room.pk], "first_tray": 1, "last_tray": 3, "paper": "us-letter"}
    answer = browser_of(leader).post(reverse("place-labels"), asked)
    assert answer["Content-Type"] == "application/pdf"
    assert [row.kind for row in PrintedLabel.objects.all()] == ["place", "tray", "tray", "tray"]
