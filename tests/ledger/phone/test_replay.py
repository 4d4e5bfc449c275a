"""Every message of an outbox sent twice, in any order, or at one moment, gives the same ledger."""

import hashlib
import itertools
import random
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import Receipt
from ledger.traits.reference import Reference
from tests.factories import picture
from tests.ledger.phone.messages import find_message, parts_of, send_find, send_part
from tests.people import make_person

PHOTOS = tuple(picture(size=(300 + number, 200)) for number in range(3))
VIEWS = ("cap", "underside", "cap")
Outbox = list[dict[str, Any]]


def sha(photo: bytes) -> str:
    return hashlib.sha256(photo).hexdigest()


@pytest.fixture
def phone(collector: Member, browser_of: Callable[[Member], Client], reference: Reference) -> Client:
    return browser_of(collector)


@pytest.fixture
def outbox(collector: Member, stranger: Member) -> Outbox:
    """Two finds, and the first of them again: changed, and given to its right finder, before any answer came."""
    first = find_message(collector, ("locality", "A"), serial=1, finder=stranger.pk, photos=PHOTOS[:2])
    second = find_message(collector, ("locality", "B"), serial=2, photos=PHOTOS[2:])
    again = find_message(
        collector,
        *(("locality", "A, by the gate"), ("smell", "aniseed")),
        find=first["find"],
        typed=30,
        serial=3,
        photos=PHOTOS[:2],
    )
    return [first, second, again]


def parts(outbox: Outbox) -> list[tuple[str, bytes, int, bytes, str]]:
    """Every part of the photos: its find, its photo, where it begins, its bytes, what the photo shows."""
    finds = (outbox[0]["find"], outbox[0]["find"], outbox[1]["find"])
    return [
        (find, photo, offset, part, view)
        for find, photo, view in zip(finds, PHOTOS, VIEWS, strict=True)
        for offset, part in parts_of(photo)
    ]


def ledger() -> dict[str, Any]:
    """What the ledger holds: each find with its finder, its words, its open flags, its photos byte for byte."""
    return {
        find.collecting_number: {
            "words": (find.finder.full_name, find.locality, find.smell, find.status),
            "flags": sorted(find.flags.filter(withdrawn_at__isnull=True).values_list("code", flat=True)),
            "photos": sorted(
                (photo.view, sha(Path(photo.original.path).read_bytes())) for photo in find.photos.all()
            ),
        }
        for find in Find.objects.select_related("finder")
    }


EXPECTED = {
    "AT 3": {
        "words": ("Ada Thorne", "A, by the gate", "aniseed", "held"),
        "flags": ["date_missing", "place_missing"],
        "photos": [("cap", sha(PHOTOS[0])), ("underside", sha(PHOTOS[1]))],
    },
    "AT 2": {
        "words": ("Ada Thorne", "B", "", "held"),
        "flags": ["date_missing", "place_missing", "view_underside_missing"],
        "photos": [("cap", sha(PHOTOS[2]))],
    },
}


@pytest.mark.parametrize("order", sorted(set(itertools.permutations((0, 1, 2) * 2)))[::5], ids=str)
def test_finds_sent_twice_in_any_order(phone: Client, outbox: Outbox, order: tuple[int, ...]) -> None:
    for number in order:
        assert send_find(phone, outbox[number]).status_code in (200, 201)
    expected = {number: find["words"] for number, find in EXPECTED.items()}
    assert {number: find["words"] for number, find in ledger().items()} == expected


@pytest.mark.parametrize("seed", range(8))
def test_finds_and_parts_of_photos_sent_twice_in_any_order(phone: Client, outbox: Outbox, seed: int) -> None:
    """Shuffled all together; then, as a phone does with what is not confirmed, once more in its own order."""
    every_part = parts(outbox)
    steps = [*outbox, *every_part] * 2
    random.Random(seed).shuffle(steps)
    answers = {
        (send_find(phone, step) if isinstance(step, dict) else sent_part(phone, step)).status_code
        for step in steps
    }
    assert answers <= {200, 201, 404, 409}
    for message in outbox:
        send_find(phone, message)
    for part in every_part:
        find, photo, offset, *_ = part
        if phone.get(f"/phone/photos/{sha(photo)}?find={find}").json()["have"] == offset:
            assert sent_part(phone, part).status_code == 200
    assert ledger() == EXPECTED


def sent_part(phone: Client, part: tuple[str, bytes, int, bytes, str]) -> Any:
    find, photo, offset, content, view = part
    return send_part(phone, find, photo, offset, content, view=view)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("reference")
def test_one_find_sent_eight_times_at_one_moment_is_one_find(
    browser_of: Callable[[Member], Client],
) -> None:
    member = make_person("collector")
    message = find_message(member, ("locality", "Here"), photos=PHOTOS[:1])
    phones = [browser_of(member) for _ in range(8)]

    def send(phone: Client) -> tuple[int, Any]:
        try:
            answer = send_find(phone, message)
            return answer.status_code, answer.json()
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(send, phones))
    assert sorted(status for status, _ in answers) == [200] * 7 + [201]
    assert all(told == answers[0][1] for _, told in answers)
    assert (Find.objects.count(), Receipt.objects.count()) == (1, 1)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("reference")
def test_one_photo_sent_eight_times_at_one_moment_is_one_photo(
    browser_of: Callable[[Member], Client],
) -> None:
    member = make_person("collector")
    photo = PHOTOS[0]
    message = find_message(member, photos=(photo,))
    send_find(browser_of(member), message)
    phones = [browser_of(member) for _ in range(8)]

    def send(phone: Client) -> set[int]:
        try:
            return {
                send_part(phone, message["find"], photo, offset, part).status_code
                for offset, part in parts_of(photo)
            }
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        answers = set().union(*pool.map(send, phones))
    # Whoever came too late was told where to go on; one of them got through, or goes on from there.
    assert answers <= {200, 409}
    asked = browser_of(member).get(f"/phone/photos/{sha(photo)}?find={message['find']}").json()
    for offset, part in parts_of(photo):
        if offset == asked["have"]:
            asked = send_part(browser_of(member), message["find"], photo, offset, part).json()
    stored = Find.objects.get().photos.get()
    assert Path(stored.original.path).read_bytes() == photo
