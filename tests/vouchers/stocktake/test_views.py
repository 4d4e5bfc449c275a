"""Stocktakes on screen, and what a phone is answered."""

import json
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from ledger.people.models import Member
from ledger.phone.payload import PayloadError
from tests.factories import TaxonFactory, name_find
from tests.vouchers.store.making import NOW, packets, place
from vouchers.stocktake.actions import give_up, open_stocktake
from vouchers.stocktake.message import parse_walk
from vouchers.stocktake.models import Sighting, Stocktake
from vouchers.store.models import Move, StorePlace

SignedIn = Callable[[Member], Client]


@pytest.fixture
def box(db: None) -> StorePlace:
    return place("Box 1", parent=place("Shelf 1", "shelf"))


@pytest.fixture
def walk(box: StorePlace, curator: Member) -> Stocktake:
    for part in packets(3, by=curator, where=box):
        name_find(part.voucher.find, TaxonFactory())
    return open_stocktake(box, by=curator, now=NOW)


def message(member: Member, *sightings: dict[str, Any], **given: Any) -> dict[str, Any]:
    return {"member": member.pk, "sent_at": "2026-11-02T10:00:00Z", "sightings": list(sightings)} | given


def sighting(box: StorePlace, text: str = "HFG 2026-0001", **given: Any) -> dict[str, Any]:
    return {"id": str(uuid4()), "text": text, "place": box.number, "at": "2026-11-02T09:59:00Z"} | given


def send(client: Client, walk: Stocktake, sent: Any) -> Any:
    return client.post(
        reverse("stocktake-sightings", args=[walk.pk]), json.dumps(sent), content_type="application/json"
    )


def test_a_leader_sends_what_was_seen_twice_over(
    walk: Stocktake, box: StorePlace, leader: Member, browser_of: SignedIn
) -> None:
    sent = message(leader, sighting(box), sighting(box, "HFG 2026-0002"))
    first, again = (send(browser_of(leader), walk, sent) for _ in range(2))
    assert first.status_code == again.status_code == 200
    assert first.json() == again.json() == {"taken": [one["id"] for one in sent["sightings"]], "refused": {}}
    assert Sighting.objects.count() == 2


def test_a_member_sends_nothing(
    walk: Stocktake, box: StorePlace, collector: Member, browser_of: SignedIn
) -> None:
    answer = send(browser_of(collector), walk, message(collector, sighting(box)))
    assert (answer.status_code, answer.json()["why"]) == (403, "not yours")
    assert not Sighting.objects.exists()


def test_what_another_member_saw_is_not_taken(
    walk: Stocktake, box: StorePlace, leader: Member, curator: Member, browser_of: SignedIn
) -> None:
    answer = send(browser_of(leader), walk, message(curator, sighting(box)))
    assert (answer.status_code, answer.json()["why"]) == (403, "somebody else")
    assert not Sighting.objects.exists()


def test_an_ended_stocktake_says_so_and_that_the_phone_keeps_it(
    walk: Stocktake, box: StorePlace, leader: Member, browser_of: SignedIn
) -> None:
    give_up(walk.pk, why="mistake", now=NOW)
    answer = send(browser_of(leader), walk, message(leader, sighting(box)))
    assert answer.status_code == 409
    assert answer.json()["kept"] == "What was seen stays on the phone."


BAD = [
    [],
    {},
    {"sightings": {}},
    {"member": "x"},
    {"sent_at": "yesterday"},
    {"sent_at": "0001-01-01T00:00:00"},
    {"sightings": [3]},
    {"sightings": [{}]},
    {"sightings": [{"id": "x", "text": "HFG 2026-0001", "place": 1, "at": "2026-11-02T09:00:00Z"}]},
    {"sightings": [{"id": str(uuid4()), "text": 4, "place": 1, "at": "2026-11-02T09:00:00Z"}]},
    {"sightings": [{"id": str(uuid4()), "text": "a", "place": 10**12, "at": "2026-11-02T09:00:00Z"}]},
    {"sightings": [{"id": str(uuid4()), "text": "a", "place": True, "at": "2026-11-02T09:00:00Z"}]},
    {"sightings": [{"id": str(uuid4()), "text": "a", "place": 1, "at": "9999-12-31T23:59:59Z"}]},
    {"sightings": [{"id": str(uuid4()), "text": "a", "place": 1}] * 501},
]


@pytest.mark.parametrize("bad", BAD, ids=range(len(BAD)))
def test_a_message_that_cannot_be_read_stores_nothing(
    bad: Any, walk: Stocktake, leader: Member, browser_of: SignedIn
) -> None:
    sent = message(leader) | bad if bad else bad
    answer = send(browser_of(leader), walk, sent)
    assert answer.status_code == 422
    assert answer.json()["why"] == "unreadable"
    assert not Sighting.objects.exists()


@given(
    st.binary(max_size=200)
    | st.recursive(
        st.none() | st.integers() | st.text(),
        lambda one: (
            st.lists(one)
            | st.dictionaries(st.sampled_from(["member", "sightings", "sent_at", "id", "at"]), one)
        ),
    ).map(lambda one: json.dumps(one).encode())
)
def test_whatever_is_sent_is_read_or_refused(raw: bytes) -> None:
    try:
        parse_walk(raw)
    except PayloadError as problem:
        assert str(problem)


def test_a_phone_is_told_all_it_needs_and_nothing_of_where_a_find_was_made(
    walk: Stocktake, box: StorePlace, leader: Member, browser_of: SignedIn
) -> None:
    answer = browser_of(leader).get(reverse("stocktake-json", args=[walk.pk]))
    told = answer.json()
    assert told["place"] == "Shelf 1 › Box 1" and told["prefixes"] == ["HFG"] and told["is_open"]
    assert told["places"] == [[1, "shelf", "Shelf 1", False], [2, "box", "Shelf 1 › Box 1", True]]
    assert told["parts"][0] == ["HFG 2026-0001", 2, "Trametes versicolor"] and len(told["parts"]) == 3
    assert "Hollin Wood" not in answer.content.decode()


def test_a_stocktake_there_is_not_is_told(walk: Stocktake, leader: Member, browser_of: SignedIn) -> None:
    answer = browser_of(leader).get(reverse("stocktake-json", args=[walk.pk + 1]))
    assert (answer.status_code, answer.json()["why"]) == (404, "no stocktake")


def test_a_curator_goes_from_opening_to_signing_off_without_a_script(
    box: StorePlace, curator: Member, browser_of: SignedIn
) -> None:
    packets(3, by=curator, where=box)
    client = browser_of(curator)
    page = client.post(reverse("stocktakes"), {"place": "Shelf 1"}, follow=True)
    walk = Stocktake.objects.get()
    opened = page.content.decode()
    assert "3 expected, 0 in place, 3 not yet seen" in opened and "HFG 2026-0003" not in opened
    typed = {"place": "Box 1", "codes": "hfg 2026-1, hfg 2026-2\nXYZ 2026-0009"}
    page = client.post(reverse("type-sightings", args=[walk.pk]), typed, follow=True)
    shown = page.content.decode()
    assert "A code of another collection." in shown and "1 of those expected was not seen yet" in shown
    assert "HFG 2026-0003" not in shown and "1 unknown</dd>" in shown
    shown = client.get(reverse("stocktake", args=[walk.pk]), {"missing": "1"}).content.decode()
    assert "HFG 2026-0003" in shown and "1 missing, 1 unknown</dd>" in shown
    for key, way in (("missing:HFG 2026-0003:0", "elsewhere"), ("unknown:XYZ 2026-0009:1", "set apart")):
        settled = {"key": key, "way": way, "reason": "lay on the table", "to": "Shelf 1"}
        assert (
            "is settled"
            in client.post(
                reverse("settle-difference", args=[walk.pk]), settled, follow=True
            ).content.decode()
        )
    assert Move.objects.count() == 1
    page = client.post(reverse("sign-off-stocktake", args=[walk.pk]), {"words": "All found"}, follow=True)
    shown = page.content.decode()
    assert "Signed off" in shown and "3 expected, 2 in place, 1 misplaced" in shown and "All found" in shown
    assert "Found in another place, where it stays" in shown


def test_a_leader_walks_and_types_but_neither_opens_nor_settles(
    walk: Stocktake, leader: Member, browser_of: SignedIn
) -> None:
    client = browser_of(leader)
    assert client.post(reverse("stocktakes"), {"place": "Shelf 1"}).status_code == 403
    page = client.get(reverse("stocktake", args=[walk.pk])).content.decode()
    assert "Walk it with the phone" in page and "Sign it off" not in page and "What was done" not in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"place": "", "codes": "HFG 2026-0001"}, "No place was given"),
        ({"place": "Attic", "codes": "HFG 2026-0001"}, "is no place of this store"),
        ({"place": "Box 1", "codes": " "}, "No number was given"),
        ({"place": "Box 1", "codes": "1\n" * 1001}, "too many"),
    ],
)
def test_typed_numbers_that_cannot_be_taken_stay_in_their_box(
    typed: dict[str, str], said: str, walk: Stocktake, leader: Member, browser_of: SignedIn
) -> None:
    answer = browser_of(leader).post(reverse("type-sightings", args=[walk.pk]), typed)
    assert answer.status_code == 422 and said in answer.content.decode()
    assert typed["codes"].split("\n")[0].strip() in answer.content.decode()
    assert not Sighting.objects.exists()


def test_the_page_takes_no_more_queries_for_more_parts(
    walk: Stocktake, box: StorePlace, curator: Member, browser_of: SignedIn
) -> None:
    client = browser_of(curator)
    counted = []
    for _ in range(2):
        packets(30, by=curator, where=box)
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("stocktake", args=[walk.pk]))
        counted.append(len(queries))
    assert counted[0] == counted[1] < 20
