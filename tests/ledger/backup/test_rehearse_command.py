"""`manage.py rehearse`: the newest backup is restored in a scratch place, held against its manifest, and thrown away."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from ledger.backup.models import BackupRun
from tests.ledger.backup.making import PASSPHRASE, back_up, newest, photo, something_of_everything
from tests.people import make_person

pytestmark = pytest.mark.django_db(transaction=True)


def databases() -> int:
    if connection.vendor == "sqlite":
        return 0
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM pg_database")
        return int(cursor.fetchone()[0])


def test_a_whole_backup_is_all_there_and_the_date_is_kept(place: Path, tmp_path: Path, settings: Any) -> None:
    settings.BACKUP_PASSPHRASE = PASSPHRASE
    something_of_everything()
    made = back_up()
    before, others = sorted(tmp_path.iterdir()), databases()
    out = StringIO()
    call_command("rehearse", "--json", stdout=out, stderr=StringIO())
    told = json.loads(out.getvalue())
    assert told["database"] == connection.vendor
    assert told["tables"] == {label: tally["rows"] for label, tally in made["tables"].items()}
    assert (told["originals"], told["register"]) == (4, made["register"])
    run = BackupRun.objects.get(kind="rehearsal")
    assert (run.good, run.file, run.sealed) == (True, newest(place).name, True)
    assert "is all there" in run.said
    # Nothing of the scratch place is left.
    assert (sorted(tmp_path.iterdir()), databases()) == (before, others)


def test_a_damaged_original_fails_it_and_is_named(place: Path) -> None:
    one = photo(make_person("collector"), 1)
    back_up()
    (there,) = (place / "originals").rglob(one.sha256)
    data = bytearray(there.read_bytes())
    data[-9] ^= 1
    there.write_bytes(data)
    with pytest.raises(CommandError, match=rf"{one.original.name} .* is damaged") as failed:
        call_command("rehearse", "--on", "sqlite", stdout=StringIO(), stderr=StringIO())
    assert failed.value.returncode == 1
    run = BackupRun.objects.get(kind="rehearsal")
    assert not run.good and one.original.name in run.said


def test_without_a_backup_there_is_nothing_to_rehearse(place: Path) -> None:
    with pytest.raises(CommandError, match="has no backup to rehearse"):
        call_command("rehearse", stdout=StringIO(), stderr=StringIO())
    assert BackupRun.objects.get().good is False
