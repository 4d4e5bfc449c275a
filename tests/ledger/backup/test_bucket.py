"""Backups in an S3-style store: against a server of that kind that the test starts."""

import tarfile
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from ledger.backup.errors import Unusable
from ledger.backup.making import backups_at, make
from ledger.backup.places import Bucket, place_from
from ledger.backup.pruning import tidy
from ledger.backup.retention import Keep
from ledger.finds.photo_actions import remove_waiting
from tests.factories import make_photo, picture
from tests.ledger.backup.making import back_up, environment, manage, photo, something_of_everything, told_by
from tests.people import make_person
from tests.s3_store import empty_bucket, s3_address, s3_server

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    with s3_server() as server:
        yield server


@pytest.fixture
def bucket(server: str, settings: Any) -> Any:
    settings.BACKUPS = s3_address(server, "backups-of-ours")
    settings.BACKUP_PASSPHRASE = settings.BACKUP_KEY_FILE = ""
    return empty_bucket(server)


def there(settings: Any, tmp_path: Path) -> Bucket:
    place = place_from(settings.BACKUPS, tmp_path / "scratch")
    assert isinstance(place, Bucket)
    return place


def test_it_is_made_there_and_restored_from_there(bucket: Any, settings: Any, tmp_path: Path) -> None:
    something_of_everything()
    made = back_up()
    assert "se/cret" not in made["place"] and "key" not in made["place"]
    keys = sorted(item.key for item in bucket.objects.all())
    assert f"backups-of-ours/{made['name']}" in keys
    assert sum(key.startswith("backups-of-ours/originals/") for key in keys) == 4
    env = environment(tmp_path / "new", LEDGER_BACKUPS=settings.BACKUPS)
    assert told_by(manage(env, "restore", "--json"))["originals"] == 4


def test_only_what_is_new_is_sent(bucket: Any) -> None:
    person = make_person("collector")
    photo(person, 1)
    assert back_up()["sent"] == 1
    photo(person, 2)
    assert back_up()["sent"] == 1


def test_a_damaged_backup_there_is_named(bucket: Any) -> None:
    something_of_everything()
    made = back_up()
    key = f"backups-of-ours/{made['name']}"
    data = bytearray(bucket.Object(key).get()["Body"].read())
    with tarfile.open(fileobj=BytesIO(data)) as tar:
        info = next(info for info in tar if "ledger.find/" in info.name)
    data[info.offset_data + 40] ^= 1
    bucket.put_object(Key=key, Body=bytes(data))
    with pytest.raises(CommandError, match=f"{info.name} is not as it was written"):
        call_command("restore", "--check", stdout=StringIO())


def test_old_ones_go_with_what_they_alone_needed(bucket: Any, settings: Any, tmp_path: Path) -> None:
    person, now, place = make_person("collector"), timezone.now(), there(settings, tmp_path)
    draft = make_photo(by=person, data=picture(size=(310, 200)))
    make(place, None, b"", now=now - timedelta(days=9), say=lambda line: None)
    remove_waiting(draft)
    kept = photo(person, 1)
    make(place, None, b"", now=now, say=lambda line: None)
    assert tidy(place, None, Keep(1, 0, 0)).originals == 1
    assert len(backups_at(place)) == 1
    (left,) = [item.key for item in bucket.objects.filter(Prefix="backups-of-ours/originals/")]
    assert left.endswith(kept.sha256)


def test_a_store_that_does_not_answer_is_a_sentence(settings: Any, tmp_path: Path) -> None:
    settings.BACKUPS = "s3://key:secret@127.0.0.1:9/club?tls=no"
    with pytest.raises(Unusable, match=r"could not be read.*Look whether the store answers"):
        list(there(settings, tmp_path).sizes(""))
