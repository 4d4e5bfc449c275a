"""The store on screen: where is it, the page of a place, moves by a list of codes."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from ledger.people.models import Member
from tests.factories import TaxonFactory, name_find
from tests.vouchers.store.making import NOW, packets, place
from vouchers.parts.actions import end_part, make_part
from vouchers.parts.models import Part
from vouchers.store.models import Move, StorePlace

SignedIn = Callable[[Member], Client]


@pytest.fixture
def box(curator: Member) -> StorePlace:
    return place("Box 7", parent=place("Shelf 1", "shelf", place("Herbarium room", "room")))


@pytest.mark.parametrize(
    "typed", ["HFG 2026-0001", "hfg2026/1", "2026-1", "QA 1", "versicolor", "Box 7", "hfg place 3"]
)
def test_where_is_it_answers_to_number_name_and_place(
    typed: str, box: StorePlace, curator: Member, leader: Member, browser_of: SignedIn
) -> None:
    (part,) = packets(1, by=curator, where=box)
    name_find(part.voucher.find, TaxonFactory())
    page = browser_of(leader).get(reverse("store"), {"q": typed}).content.decode()
    assert "Herbarium room</a> ›" in page and "Box 7</a>" in page


def test_where_is_it_says_that_nothing_answers(box: StorePlace, leader: Member, browser_of: SignedIn) -> None:
    page = browser_of(leader).get(reverse("store"), {"q": "nowhere"}).content.decode()
    assert "Nothing answers to “nowhere”" in page


def test_a_part_that_ended_is_told_without_its_reason(
    box: StorePlace, curator: Member, leader: Member, browser_of: SignedIn
) -> None:
    (part,) = packets(1, by=curator, where=box)
    end_part(part.pk, why="sent back to Hollin Wood", by=curator, now=NOW)
    page = browser_of(leader).get(reverse("store"), {"q": "2026-1"}).content.decode()
    assert "Ended 2 Nov 2026" in page and "Hollin Wood" not in page


def test_the_page_of_a_place_takes_no_more_queries_for_more_parts(
    box: StorePlace, curator: Member, browser_of: SignedIn
) -> None:
    client = browser_of(curator)
    counted = []
    for more in (3, 40):
        for part in packets(more, by=curator, where=box):
            name_find(part.voucher.find, TaxonFactory())
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("store-place", args=[box.number]))
        counted.append(len(queries))
    assert counted[0] == counted[1] < 16


def test_the_page_of_a_place_says_that_it_is_over_full(
    box: StorePlace, curator: Member, browser_of: SignedIn
) -> None:
    StorePlace.objects.filter(pk=box.pk).update(capacity=1)
    packets(2, by=curator, where=box)
    page = browser_of(curator).get(reverse("store-place", args=[box.number])).content.decode()
    assert "Over-full" in page


def test_a_leader_moves_by_a_list_of_codes(box: StorePlace, leader: Member, browser_of: SignedIn) -> None:
    packets(2, by=leader)
    sent = {"to": f"HFG PLACE {box.number}", "codes": "HFG 2026-0001\nHFG 2026-0002\n"}
    answer = browser_of(leader).post(reverse("store-move"), sent, follow=True)
    assert "Into Box 7: 2 packets and other parts." in answer.content.decode()
    assert Move.objects.filter(by=leader, to_place=box).count() == 2


def test_a_bad_list_is_kept_and_each_bad_code_named(
    box: StorePlace, leader: Member, browser_of: SignedIn
) -> None:
    packets(1, by=leader)
    sent = {"to": str(box.number), "codes": "HFG 2026-0001\nXYZ 2026-0004"}
    answer = browser_of(leader).post(reverse("store-move"), sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "XYZ 2026-0004 is not one of ours" in page and "HFG 2026-0001\nXYZ 2026-0004</textarea>" in page
    assert Part.objects.get().place is None


def test_a_box_moved_into_itself_is_refused_with_a_sentence(
    box: StorePlace, leader: Member, browser_of: SignedIn
) -> None:
    answer = browser_of(leader).post(
        reverse("move-place", args=[box.number]), {"to": str(box.number)}, follow=True
    )
    assert "cannot be put into itself" in answer.content.decode()


def test_a_leader_makes_and_closes_no_places(box: StorePlace, leader: Member, browser_of: SignedIn) -> None:
    client = browser_of(leader)
    assert client.post(reverse("new-place"), {"kind": "box", "name": "Box"}).status_code == 403
    assert client.post(reverse("close-place", args=[box.number])).status_code == 403
    assert "Add a place" not in client.get(reverse("store")).content.decode()


@pytest.mark.parametrize(
    "typed",
    [
        {"kind": "x"},
        {"name": ""},
        {"count": "9999"},
        {"capacity": "-3"},
        {"capacity": "9" * 30},
        {"parent": "Attic"},
    ],
)
def test_a_place_that_cannot_be_made_keeps_what_was_typed(
    typed: dict[str, str], curator: Member, browser_of: SignedIn
) -> None:
    sent = {"kind": "box", "name": "Box of slides", "count": "1"} | typed
    answer = browser_of(curator).post(reverse("new-place"), sent)
    assert answer.status_code == 422 and not StorePlace.objects.exists()
    assert ("Box of slides" in answer.content.decode()) == (typed.get("name") != "")


@pytest.mark.parametrize(
    ("code", "kind", "said"),
    [
        ("HFG 2026-0001", "part", "Trametes versicolor, now in Herbarium room › Shelf 1 › Box 7."),
        ("HFG 2026-0001 S1", "part", "no place on record yet"),
        ("HFG PLACE 3", "place", "Herbarium room › Shelf 1 › Box 7."),
        ("HFG PLACE 30", "none", "There is no place 30"),
        ("HFG 2026-0042", "none", "was never given"),
        ("XYZ 2026-0001", "none", "not one of ours"),
        ("4006381333931", "none", "is no code of this collection"),
        ("", "none", "is no code of this collection"),
    ],
)
def test_a_scanned_code_is_told(
    code: str, kind: str, said: str, box: StorePlace, curator: Member, leader: Member, browser_of: SignedIn
) -> None:
    (part,) = packets(1, by=curator, where=box)
    name_find(part.voucher.find, TaxonFactory())
    make_part(part.voucher_id, "slide", by=curator, now=NOW)
    told = browser_of(leader).get(reverse("store-read"), {"code": code}).json()
    assert told["kind"] == kind and said in told["said"]
    assert told["fine"] == (kind != "none")
