from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from ledger.people.models import Member
from ledger.photo_check import how_many, verify
from ledger.photo_copies import copy_of
from tests.factories import picture
from tests.vouchers.loans.making import NOW, make_loan, packet
from vouchers.loans.actions import note_condition
from vouchers.loans.models import Condition, ConditionPhoto
from vouchers.loans.photos import MOST_PHOTOS, SIZES, add_photos

pytestmark = pytest.mark.django_db


@pytest.fixture
def condition(curator: Member) -> Condition:
    item = make_loan(curator, packet(curator)).items.get()
    return note_condition(item.pk, "out", "two caps", by=curator, now=NOW)


def photo(**given: Any) -> SimpleUploadedFile:
    return SimpleUploadedFile("packet.jpg", picture(**given), "image/jpeg")


def test_a_photo_is_kept_as_it_came(condition: Condition, curator: Member) -> None:
    data = picture(position=(51.2, -2.3))
    assert add_photos(condition, [SimpleUploadedFile("a.jpg", data)], by=curator, now=NOW) == []
    kept = condition.photos.get()
    assert kept.original.read() == data
    kept.original.close()


def test_it_is_no_photo_of_the_find(condition: Condition, curator: Member) -> None:
    add_photos(condition, [photo()], by=curator, now=NOW)
    assert condition.item.part.voucher.find.photos.count() == 0


def test_the_copy_for_the_screen_says_nothing_of_a_place(condition: Condition, curator: Member) -> None:
    add_photos(condition, [photo(position=(51.2, -2.3))], by=curator, now=NOW)
    kept = condition.photos.get()
    made = copy_of(kept.original, kept.sha256, SIZES["thumb"]).read_bytes()
    assert made.startswith(b"\xff\xd8")
    assert b"Exif" not in made


def test_the_same_bytes_twice_are_one_photo(condition: Condition, curator: Member) -> None:
    assert add_photos(condition, [photo(), photo()], by=curator, now=NOW) == []
    assert condition.photos.count() == 1


def test_what_is_no_photo_is_told_and_the_others_are_kept(condition: Condition, curator: Member) -> None:
    broken = SimpleUploadedFile("notes.jpg", b"no picture at all", "image/jpeg")
    told = add_photos(condition, [broken, photo()], by=curator, now=NOW)
    assert len(told) == 1
    assert "notes.jpg" in told[0]
    assert condition.photos.count() == 1


def test_more_than_a_dozen_are_refused(condition: Condition, curator: Member) -> None:
    colours = [f"#{n * 16:02x}8040" for n in range(MOST_PHOTOS + 1)]
    told = add_photos(condition, [photo(colour=colour) for colour in colours], by=curator, now=NOW)
    assert len(told) == 1
    assert ConditionPhoto.objects.count() == MOST_PHOTOS


def test_hashing_all_originals_anew_names_one_that_changed(condition: Condition, curator: Member) -> None:
    add_photos(condition, [photo()], by=curator, now=NOW)
    assert list(verify()) == [None]
    kept = condition.photos.get()
    Path(kept.original.path).write_bytes(b"another")
    (finding,) = verify()
    assert finding is not None
    assert (finding.what, finding.of) == ("changed", f"{condition.item.part} on {condition.item.loan}")
    assert how_many() == 1
