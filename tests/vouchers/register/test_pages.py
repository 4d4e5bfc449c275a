"""The page of a voucher, and what is done from it."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.factories import FindFactory, TaxonFactory, name_find
from vouchers.parts.actions import make_part
from vouchers.register.actions import accession, deaccession
from vouchers.register.models import RegisterEntry, Voucher

NOW = datetime(2026, 11, 2, 19, 30, tzinfo=UTC)
WORDS = "Eaten by beetles in the drawer by the window."


@pytest.fixture
def voucher(curator: Member, collector: Member) -> Voucher:
    find = FindFactory(finder=collector, collecting_serial=118)
    name_find(find, TaxonFactory())
    return accession(find.pk, by=curator, now=NOW)


@pytest.fixture
def desk(curator: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(curator)


def page(browser: Client, voucher: Voucher) -> str:
    return browser.get(reverse("voucher", args=[voucher.slug])).content.decode()


def test_it_tells_parts_and_entries(voucher: Voucher, desk: Client, curator: Member) -> None:
    make_part(voucher.pk, "slide", note="tubes in Melzer", by=curator, now=NOW)
    shown = page(desk, voucher)
    accessioned = "Accessioned AT 118, named Trametes versicolor then"
    for told in ("BL 2026-0001 S1", "tubes in Melzer", accessioned, "Slide S1 made"):
        assert told in shown


@pytest.mark.parametrize("typed", ["BL-2026-0001", "bl 2026-1", "BL 2026-0001 S1"])
def test_its_address_is_read_as_a_number_is(typed: str, voucher: Voucher, desk: Client) -> None:
    assert desk.get(reverse("voucher", args=[typed])).status_code == 200


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("BL-2026-0009", "was never given"),
        ("HFG-2026-0001", "another collection"),
        ("AT 118", "no code of this"),
    ],
)
def test_a_number_that_is_none_of_ours_is_told_so(
    typed: str, said: str, voucher: Voucher, desk: Client
) -> None:
    answer = desk.get(reverse("voucher", args=[typed]))
    assert answer.status_code == 404
    assert said in answer.content.decode()


def test_a_leader_does_not_read_what_was_written_freely_of_a_place_kept_back(
    curator: Member, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    find = FindFactory(own_blur_step_deg=0.1, locality="Split Oak Dingle")
    voucher = accession(find.pk, by=curator, now=NOW)
    make_part(voucher.pk, "slide", note="from the Split Oak Dingle log", by=curator, now=NOW)
    deaccession(voucher.pk, reason="lost", words="Left in Split Oak Dingle", by=curator, now=NOW)
    assert "Dingle" not in page(browser_of(leader), voucher)
    assert "from the Split Oak Dingle log" in page(browser_of(curator), voucher)


def test_a_leader_is_offered_nothing_that_only_a_curator_does(
    voucher: Voucher, leader: Member, browser_of: Callable[[Member], Client]
) -> None:
    shown = page(browser_of(leader), voucher)
    assert "Deaccession" not in shown and "Add a part" not in shown


def test_a_part_is_made_and_ended_from_the_page(voucher: Voucher, desk: Client) -> None:
    desk.post(reverse("make-part", args=[voucher.slug]), {"kind": "duplicate", "note": "for exchange"})
    part = voucher.parts.get(suffix="D1")
    desk.post(reverse("end-part", args=[part.pk]), {"why": "sent to Kew"})
    part.refresh_from_db()
    assert (part.note, part.ended_why) == ("for exchange", "sent to Kew")


def test_what_was_typed_into_a_refused_form_is_kept(voucher: Voucher, desk: Client) -> None:
    answer = desk.post(reverse("deaccession", args=[voucher.slug]), {"reason": "", "words": WORDS})
    assert answer.status_code == 422
    assert WORDS in answer.content.decode() and "stays in the collection" in answer.content.decode()
    answer = desk.post(reverse("make-part", args=[voucher.slug]), {"kind": "tin", "note": "tubes in Melzer"})
    assert answer.status_code == 422 and "tubes in Melzer" in answer.content.decode()
    assert RegisterEntry.objects.count() == 1


def test_a_deaccession_that_is_sent_twice_takes_nothing_back(voucher: Voucher, desk: Client) -> None:
    address = reverse("deaccession", args=[voucher.slug])
    desk.post(address, {"reason": "spoiled", "words": WORDS})
    # Pressed again, or by a second curator whose page was opened before.
    again = desk.post(address, {"reason": "spoiled", "words": WORDS})
    assert again.status_code == 422
    assert "already. Nothing was changed." in again.content.decode()
    voucher.refresh_from_db()
    assert voucher.deaccessioned_at is not None


def test_a_voucher_that_is_taken_back_twice_stays_in_the_collection(voucher: Voucher, desk: Client) -> None:
    address = reverse("deaccession", args=[voucher.slug])
    desk.post(address, {"reason": "spoiled", "words": WORDS})
    back = {"do": "take back", "words": "It lay behind the cabinet."}
    assert desk.post(address, back).status_code == 302
    again = desk.post(address, back)
    assert again.status_code == 422
    assert "is in the collection. Nothing was changed." in again.content.decode()


def test_a_voucher_is_deaccessioned_and_taken_back_from_its_page(voucher: Voucher, desk: Client) -> None:
    address = reverse("deaccession", args=[voucher.slug])
    desk.post(address, {"reason": "spoiled", "words": WORDS})
    shown = page(desk, voucher)
    assert "Its number is retired" in shown and WORDS in shown and "Add a part" not in shown
    assert 'name="do" value="take back"' in desk.get(address).content.decode()
    desk.post(address, {"do": "take back", "words": "It was another packet after all."})
    voucher.refresh_from_db()
    assert voucher.deaccessioned_at is None


def test_a_find_is_split_from_its_page(reference: Reference, voucher: Voucher, desk: Client) -> None:
    typed = {
        "name_0": "Stereum hirsutum",
        "note_0": "",
        "name_1": "",
        "note_1": "the crust below",
        "name_3": "Xylaria sp.",
    }
    answer = desk.post(reverse("split-find", args=[voucher.find_id]), typed, follow=True)
    shown = answer.content.decode()
    assert "AT 118A (BL 2026-0002) and AT 118B (BL 2026-0003) and AT 118C (BL 2026-0004)" in shown
    share = Voucher.objects.get(serial=2).find
    assert share.current_determination.taxon.name == "Stereum hirsutum"
    assert "a mixed collection" in desk.get(reverse("find-page", args=[share.pk])).content.decode()
