"""Originals in an S3-style store: against a server of that kind that the test starts."""

from collections.abc import Iterator
from io import StringIO
from typing import Any

import boto3
import pytest
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from moto.server import ThreadedMotoServer

from ledger.finds.models import Photo
from ledger.finds.photo_actions import add_photo
from ledger.people.models import Member
from ledger.starting import photo_store_from
from tests.factories import FindFactory, picture

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    server = ThreadedMotoServer(ip_address="127.0.0.1", port=0)
    server.start()
    host, port = server.get_host_and_port()
    yield f"{host}:{port}"
    server.stop()


@pytest.fixture
def bucket(address: str, settings: Any) -> Any:
    """An empty bucket, and the ledger set to keep its originals there."""
    entry = photo_store_from(f"s3://key:se%2Fcret@{address}/club/originals-of-ours?tls=no")
    assert entry is not None
    whole = boto3.resource(
        "s3",
        endpoint_url=entry["OPTIONS"]["endpoint_url"],
        aws_access_key_id="key",
        aws_secret_access_key="se/cret",
        region_name="us-east-1",
    ).Bucket("club")
    whole.create()
    whole.objects.all().delete()
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
