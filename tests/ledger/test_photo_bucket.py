"""Originals in an S3-style store: against a server of that kind that the test starts."""

from collections.abc import Iterator
from io import StringIO
from typing import Any

import pytest
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client

from ledger.finds.models import Photo
from ledger.finds.photo_actions import add_photo
from ledger.people.models import Member
from ledger.starting import photo_store_from
from tests.factories import FindFactory, picture
from tests.s3_store import empty_bucket, s3_address, s3_server

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with s3_server() as server:
        yield server


@pytest.fixture
def bucket(address: str, settings: Any) -> Any:
    """An empty bucket, and the ledger set to keep its originals there."""
    entry = photo_store_from(s3_address(address, "originals-of-ours"))
    assert entry is not None
    whole = empty_bucket(address)
    field = Photo._meta.get_field("original")
    before = field.storage
    settings.STORAGES = {**settings.STORAGES, "default": entry}
    field.storage = storages["default"]
    yield whole
    field.storage = before


def kept(collector: Member, data: bytes) -> Photo:
    find = FindFactory(finder=collector)
    return add_photo(
        SimpleUploadedFile("cap.jpg", data), draft_id=find.pk, by=collector, find=find, view="cap"
    )


def test_an_original_lies_in_the_bucket_byte_for_byte(bucket: Any, collector: Member) -> None:
    data = picture()
    photo = kept(collector, data)
    (there,) = list(bucket.objects.all())
    assert there.key == f"originals-of-ours/{photo.original.name}"
    assert there.get()["Body"].read() == data


def test_the_same_bytes_of_another_find_lie_there_once(bucket: Any, collector: Member) -> None:
    first, second = kept(collector, picture()), kept(collector, picture())
    assert first.original.name == second.original.name
    assert len(list(bucket.objects.all())) == 1


def test_pages_hand_the_bytes_on_to_those_who_may_see_them(
    bucket: Any, collector: Member, client: Client
) -> None:
    data = picture()
    photo = kept(collector, data)
    client.force_login(collector)
    answer = client.get(f"/photos/{photo.pk}/original/")
    assert b"".join(answer.streaming_content) == data  # type: ignore[attr-defined]
    copy = client.get(f"/photos/{photo.pk}/thumb/")
    assert next(iter(copy.streaming_content))[:2] == b"\xff\xd8"  # type: ignore[attr-defined]
    copy.close()


def test_what_is_missing_in_the_bucket_is_found_and_named(bucket: Any, collector: Member) -> None:
    photo = kept(collector, picture())
    bucket.objects.all().delete()
    out = StringIO()
    with pytest.raises(CommandError, match="1 missing"):
        call_command("verify_photos", stdout=out)
    assert f"{photo.original.name} ({photo.find}) is missing." in out.getvalue()
