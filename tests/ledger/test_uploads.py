"""Files are weighed while they arrive: what is not taken is told, lies nowhere, and costs nothing that was typed."""

import re
import uuid
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler
from django.db import connection
from django.test import Client

from ledger import uploads
from ledger.finds import actions, photo_actions
from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.traits.reference import Reference
from tests.factories import FindFactory, make_photo, picture
from tests.ledger.finds.making import entry
from tests.people import make_person

MB = 1_000_000
COLOURS = ("sienna", "peru", "linen", "olive", "wheat")


def photo(number: int = 0, *, weighs: int = 0, name: str = "") -> SimpleUploadedFile:
    """A photo of its own colour. Bytes behind the end of a JPEG belong to it and are no harm to it."""
    data = picture(colour=COLOURS[number])
    return SimpleUploadedFile(name or f"{number}.jpg", data + b"\0" * max(0, weighs - len(data)))


@pytest.fixture
def browser(reference: Reference, collector: Member, browser_of: Callable[[Member], Client]) -> Client:
    return browser_of(collector)


@pytest.fixture
def held(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """Limits of 1 MB a photo and 2 MB together, and how many bytes each part was that Django kept of them."""
    settings.PHOTO_LIMIT_MB, settings.PHOTOS_AT_ONCE_MB = 1, 2
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path
    parts: list[int] = []
    takes = TemporaryFileUploadHandler.receive_data_chunk

    def noted(self: TemporaryFileUploadHandler, raw_data: bytes, start: int) -> None:
        parts.append(len(raw_data))
        takes(self, raw_data, start)

    monkeypatch.setattr(TemporaryFileUploadHandler, "receive_data_chunk", noted)
    yield parts


def log(browser: Client, *photos: SimpleUploadedFile, do: str = "keep") -> Any:
    """The plain form, sent by a browser that runs no script."""
    sent = {"find_id": str(uuid.uuid4()), "do": do, "locality": "Below the bridge", "photo-cap": list(photos)}
    return browser.post("/finds/log/", sent)


def said(answer: Any) -> str:
    return re.sub(r"\s+", " ", answer.content.decode())


def test_a_photo_over_the_limit_is_left_out_in_words_and_the_form_comes_back(
    browser: Client, held: list[int]
) -> None:
    answer = log(browser, photo(0), photo(1, weighs=1_700_000, name="big.jpg"))
    assert answer.status_code == 422
    assert "“big.jpg” has 1.7 MB; at most 1 MB are taken." in said(answer)
    assert 'value="Below the bridge"' in said(answer)
    assert Photo.objects.count() == 1
    assert sum(held) < 1_100_000


def test_photos_that_are_too_much_together_are_left_out_in_words(browser: Client, held: list[int]) -> None:
    answer = log(browser, *(photo(number, weighs=900_000) for number in range(3)))
    assert "“2.jpg” did not fit: 2 MB of photos are taken at one time." in said(answer)
    assert 'value="Below the bridge"' in said(answer)
    assert Photo.objects.count() == 2
    assert sum(held) <= 2 * MB


def test_of_more_photos_than_a_find_holds_the_first_are_kept(
    browser: Client, held: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(uploads, "MOST_PER_FIND", 2)
    answer = log(browser, *(photo(number) for number in range(4)))
    assert said(answer).count("photos at most") == 1
    assert 'value="Below the bridge"' in said(answer)
    assert Photo.objects.count() == 2


def test_forty_photos_at_once_are_no_reason_to_refuse_the_form(browser: Client, held: list[int]) -> None:
    answer = log(browser, *(photo() for _ in range(40)))
    assert answer.status_code == 422
    assert "A find holds 24 photos at most." in said(answer)
    assert 'value="Below the bridge"' in said(answer)


def test_no_byte_is_held_of_what_a_stranger_sends(db: None, nobody: Client, held: list[int]) -> None:
    sent = {"username": "a", "password": "b", "photo": photo(weighs=900_000)}
    assert nobody.post("/sign-in/", sent).status_code == 200
    assert held == []


def test_photos_under_the_limit_are_kept_as_they_came(browser: Client, held: list[int]) -> None:
    assert log(browser, photo(0), photo(1, weighs=999_000)).status_code == 302
    assert sorted(kept.byte_size for kept in Find.objects.get().photos.all())[1] == 999_000


def test_photos_beyond_the_room_of_a_find_go_on_waiting(
    reference: Reference, collector: Member, curator: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_actions, "MOST_PER_FIND", 2)
    find = FindFactory(finder=collector)
    for number in range(2):
        photo_actions.add_photo(photo(number), draft_id=find.pk, by=curator)
    make_photo(find=find, by=collector, data=picture(colour="linen"))
    actions.amend_find(find.pk, entry(), by=curator, version=find.version)
    assert (find.photos.count(), Photo.objects.filter(find=None).count()) == (2, 1)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("logged", [False, True])
def test_photos_that_come_at_one_moment_are_counted_one_after_the_other(
    logged: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photo_actions, "MOST_PER_FIND", 2)
    member = make_person("collector")
    draft = FindFactory(finder=member).pk if logged else uuid.uuid4()

    def add(number: int) -> bool:
        try:
            photo_actions.add_photo(photo(number), draft_id=draft, by=member)
        except PhotoRefused:
            return False
        finally:
            connection.close()
        return True

    with ThreadPoolExecutor(len(COLOURS)) as pool:
        assert sorted(pool.map(add, range(len(COLOURS)))) == [False] * 3 + [True] * 2


def test_a_disk_without_room_is_told_and_leaves_no_half_photo(
    collector: Member, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("ledger.photo_storage.os.fsync", full)
    with pytest.raises(PhotoRefused, match="may be full"):
        photo_actions.add_photo(photo(), draft_id=uuid.uuid4(), by=collector)
    assert not Photo.objects.exists()
    assert [path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()] == []


def test_a_half_written_original_is_written_anew(collector: Member) -> None:
    first = photo_actions.add_photo(photo(), draft_id=uuid.uuid4(), by=collector)
    path = Path(first.original.path)
    path.write_bytes(b"half")
    photo_actions.add_photo(photo(), draft_id=uuid.uuid4(), by=collector)
    assert path.read_bytes() == picture(colour=COLOURS[0])
