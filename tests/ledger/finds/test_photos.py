"""Photos sent ahead, and the copies that are shown."""

import io
import uuid
from datetime import datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from ledger.finds import photo_actions
from ledger.finds.models import Photo
from ledger.photos.errors import PhotoRefused
from tests.factories import FindFactory, make_photo, picture

pytestmark = pytest.mark.django_db


def upload(data=None, name="a.jpg"):
    return SimpleUploadedFile(name, picture() if data is None else data)


def stored(photo):
    with photo.original.open() as file:
        return file.read()


def test_an_original_is_kept_unaltered(collector):
    data = picture(taken_at=datetime(2026, 10, 3, 11, 5), position=(51.2345, -2.3456))  # noqa: DTZ001
    photo = photo_actions.add_photo(upload(data), draft_id=uuid.uuid4(), by=collector, view="cap")
    assert stored(photo) == data
    assert f"{photo.taken_at:%Y-%m-%d %H:%M}" == "2026-10-03 11:05"
    assert (round(photo.latitude, 4), round(photo.longitude, 4)) == (51.2345, -2.3456)


def test_the_same_bytes_twice_are_one_photo(collector):
    draft = uuid.uuid4()
    first = photo_actions.add_photo(upload(), draft_id=draft, by=collector)
    assert photo_actions.add_photo(upload(), draft_id=draft, by=collector).pk == first.pk


def test_the_same_bytes_of_two_finds_share_the_file_and_outlive_one(collector):
    one = photo_actions.add_photo(upload(), draft_id=uuid.uuid4(), by=collector)
    two = photo_actions.add_photo(upload(), draft_id=uuid.uuid4(), by=collector)
    photo_actions.remove_waiting(one)
    assert stored(two) == picture()


def test_a_removed_photo_takes_its_file_with_it(collector):
    photo = photo_actions.add_photo(upload(), draft_id=uuid.uuid4(), by=collector)
    photo_actions.remove_waiting(photo)
    assert not photo.original.storage.exists(photo.original.name)


@pytest.mark.parametrize("data", [b"", b"no picture at all", picture()[:200]])
def test_what_is_no_photo_is_refused_and_nothing_is_stored(collector, data):
    with pytest.raises(PhotoRefused):
        photo_actions.add_photo(upload(data), draft_id=uuid.uuid4(), by=collector)
    assert not Photo.objects.exists()


def test_a_find_holds_so_many_photos_and_no_more(collector, monkeypatch):
    monkeypatch.setattr(photo_actions, "MOST_PER_FIND", 1)
    draft = uuid.uuid4()
    photo_actions.add_photo(upload(), draft_id=draft, by=collector)
    with pytest.raises(PhotoRefused, match="photos at most"):
        photo_actions.add_photo(upload(picture(colour="white")), draft_id=draft, by=collector)


def test_nobody_adds_to_a_find_of_others(collector, stranger):
    find = FindFactory(finder=collector)
    with pytest.raises(PhotoRefused, match="not yours"):
        photo_actions.add_photo(upload(), draft_id=find.pk, by=stranger)
    assert not Photo.objects.exists()


class TestCopies:
    def shown(self, browser, photo, size):
        answer = browser.get(f"/photos/{photo.pk}/{size}/")
        return answer.status_code, b"".join(answer.streaming_content) if answer.streaming else b""

    def test_a_copy_is_small_upright_and_without_metadata(self, collector, stranger, browser_of):
        data = picture(size=(1200, 900), position=(51.2345, -2.3456))
        photo = make_photo(find=FindFactory(finder=collector), by=collector, data=data)
        status, copy = self.shown(browser_of(stranger), photo, "thumb")
        image = Image.open(io.BytesIO(copy))
        assert (status, max(image.size), dict(image.getexif())) == (200, 480, {})

    def test_no_shared_cache_may_keep_it(self, collector, browser_of):
        photo = make_photo(find=FindFactory(finder=collector), by=collector)
        answer = browser_of(collector).get(f"/photos/{photo.pk}/thumb/")
        assert answer["Cache-Control"].startswith("private")
        answer.close()

    def test_a_waiting_photo_is_its_senders_alone(self, collector, curator, browser_of):
        photo = make_photo(draft_id=uuid.uuid4(), by=collector)
        assert self.shown(browser_of(collector), photo, "thumb")[0] == 200
        assert self.shown(browser_of(curator), photo, "thumb")[0] == 404

    def test_an_original_is_not_for_other_members(self, collector, stranger, browser_of):
        photo = make_photo(find=FindFactory(finder=collector), by=collector)
        assert self.shown(browser_of(stranger), photo, "original")[0] == 404
        assert self.shown(browser_of(collector), photo, "original") == (200, picture())

    def test_a_size_that_does_not_exist_is_not_found(self, collector, browser_of):
        photo = make_photo(find=FindFactory(finder=collector), by=collector)
        assert self.shown(browser_of(collector), photo, "poster")[0] == 404
