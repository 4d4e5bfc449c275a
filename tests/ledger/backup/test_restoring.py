"""Restoring: into an empty place only, on either database, with nothing lost on the way."""

import json
import subprocess
import sys
import zipfile
from datetime import date, timedelta
from io import StringIO
from pathlib import Path
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.core.management import call_command
from django.db import connection

from ledger.backup.errors import BackupError, Damaged, NotEmpty
from ledger.backup.making import backups_at
from ledger.backup.places import Folder
from ledger.backup.restoring import Backup, _must_be_known, _safe
from ledger.backup.rows import Tally, _one_form, packed, unpacked
from ledger.days import day_text
from tests.ledger.backup.making import (
    PASSPHRASE,
    ROOT,
    address_here,
    back_up,
    environment,
    manage,
    newest,
    photo,
    something_of_everything,
    told_by,
)
from tests.people import make_person

pytestmark = pytest.mark.django_db(transaction=True)


def tables_of(told: dict[str, Any]) -> dict[str, Any]:
    """Rows and digests by table, but for what a backup notes of itself."""
    return {label: tally for label, tally in told["tables"].items() if label != "ledger.backuprun"}


def on_postgres(commands: list[list[str]], env: dict[str, str]) -> list[dict[str, Any]]:
    """Commands of manage.py on a PostgreSQL that is started for them and ended; what each told."""
    lines = " && ".join(" ".join([sys.executable, "manage.py", *command]) for command in commands)
    done = subprocess.run(
        [".ci/postgres", lines], cwd=ROOT, env=env, capture_output=True, text=True, timeout=900
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return [json.loads(line) for line in done.stdout.splitlines() if line.startswith("{")]


# Exports of a ledger: one that was restored must give the same.
EXPORTS = {
    "finds.csv": ["export", "csv", "--all", "--notes"],
    "finds.geojson": ["export", "geojson", "--all"],
    "finds.zip": ["export", "archive", "--all", "--notes", "--photos"],
    "readable.zip": ["export", "readable", "--all", "--notes", "--photos", "--permits"],
    "whole.zip": ["export", "readable", "--all", "--whole"],
}
# What tells the day of the export, and what tells the sums of that.
OF_THE_EXPORT = ("eml.xml", "README.txt", "SHA256SUMS.txt")


def exported(folder: Path) -> dict[str, bytes]:
    """What the exports in a folder hold, but for what tells the day of the export."""
    parts = {name: (folder / name).read_bytes() for name in EXPORTS if not name.endswith(".zip")}
    for zipped in (name for name in EXPORTS if name.endswith(".zip")):
        with zipfile.ZipFile(folder / zipped) as files:
            parts |= {
                f"{zipped}/{name}": _told(name, files.read(name))
                for name in files.namelist()
                if name not in OF_THE_EXPORT
            }
    return parts


def _told(name: str, data: bytes) -> bytes:
    """A book tells on every page the day on which it was printed, and in its head the moment."""
    if not name.endswith(".pdf"):
        return data
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]
    text = "\f".join(pages)
    for day in (date.today(), date.today() - timedelta(days=1)):
        text = text.replace(day_text(day), "")
    return text.encode()


def export_commands(folder: Path) -> list[list[str]]:
    folder.mkdir()
    return [[*command, str(folder / name), "--json"] for name, command in EXPORTS.items()]


def restored_and_backed_up_again(place: Path, tmp_path: Path, secret: dict[str, str]) -> list[dict[str, Any]]:
    """On the other database than this test's."""
    env = environment(tmp_path / "other", LEDGER_BACKUPS=str(tmp_path / "again"), **secret)
    commands = [["restore", str(place), "--json"], ["verify_register", "--json"], ["backup", "--json"]]
    commands += export_commands(tmp_path / "there")
    if connection.vendor == "postgresql":
        return [told_by(manage(env, *command)) for command in commands]
    return on_postgres(commands, env)


def assert_the_same(one: dict[str, bytes], other: dict[str, bytes]) -> None:
    assert one.keys() == other.keys()
    assert [name for name in one if one[name] != other[name]] == []


@pytest.mark.skipif(
    connection.vendor == "sqlite" and not list(Path("/usr/lib/postgresql").glob("*/bin/initdb")),
    reason="no PostgreSQL on this machine; the run on PostgreSQL shows the same the other way round",
)
def test_restored_on_the_other_database_and_back_it_has_the_same_rows_and_exports(
    place: Path, tmp_path: Path, settings: Any
) -> None:
    settings.BACKUP_PASSPHRASE = PASSPHRASE
    secret = {"LEDGER_BACKUP_PASSPHRASE": PASSPHRASE}
    something_of_everything()
    here = back_up()
    for command in export_commands(tmp_path / "here"):
        call_command(*command, stdout=StringIO(), stderr=StringIO())
    restored, register, there, *_ = restored_and_backed_up_again(place, tmp_path, secret)
    assert restored["database"] != connection.vendor
    assert tables_of(there) == tables_of(here)
    assert register["whole"] and register["head"]["digest"] == here["register"]["digest"]
    assert (there["originals"], there["register"]) == (4, here["register"])
    same = exported(tmp_path / "here")
    assert_the_same(exported(tmp_path / "there"), same)
    assert len(same["finds.csv"].splitlines()) > 4 and "finds.zip/meta.xml" in same
    # Photographs as copies and as they came, vouchers in the tables and the register as a book.
    folders = [name.rpartition("/")[0] for name in same]
    assert (
        folders.count("finds.zip/media")
        == folders.count("readable.zip/photos")
        == folders.count("whole.zip/photos")
        == 3
    )
    assert (
        "readable.zip/register" in folders and "duplicate of" in same["readable.zip/relations.csv"].decode()
    )

    # And back: the backup made there, restored on the kind of database that it came from.
    if connection.vendor == "sqlite":
        env = environment(tmp_path / "back", LEDGER_BACKUPS=str(tmp_path / "third"), **secret)
        told_by(manage(env, "restore", str(tmp_path / "again"), "--json"))
        for command in export_commands(tmp_path / "home"):
            told_by(manage(env, *command))
        assert_the_same(exported(tmp_path / "home"), same)
        assert tables_of(told_by(manage(env, "backup", "--json"))) == tables_of(here)
    else:
        name = f"restored_{uuid4().hex}"
        with connection.cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{name}"')
        try:
            env = environment(
                tmp_path / "back",
                DATABASE_URL=address_here(name),
                LEDGER_BACKUPS=str(tmp_path / "third"),
                **secret,
            )
            told_by(manage(env, "restore", str(tmp_path / "again"), "--json"))
            for command in export_commands(tmp_path / "home"):
                told_by(manage(env, *command))
            assert_the_same(exported(tmp_path / "home"), same)
            refused = manage(env, "restore", str(tmp_path / "again"))
            assert refused.returncode == 2 and "has" in refused.stderr and "tables already" in refused.stderr
            assert tables_of(told_by(manage(env, "backup", "--json"))) == tables_of(here)
        finally:
            with connection.cursor() as cursor:
                cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def test_a_restored_ledger_goes_on_and_is_never_overwritten(place: Path, tmp_path: Path) -> None:
    something_of_everything()
    back_up()
    env = environment(tmp_path / "new")
    told = told_by(manage(env, "restore", str(newest(place)), "--json"))
    assert told["tables"]["ledger.photo"] == 3 and told["originals"] == 4
    # Photos are as they came, the index of finds is made anew, and the next row gets a key of its own.
    lines = (
        "from ledger.finds.models import Find\n"
        "from ledger.search.models import FindIndex\n"
        "from tests.factories import FindFactory, ReadingFactory\n"
        "assert FindIndex.objects.count() == Find.objects.count() > 0\n"
        "ReadingFactory(find=Find.objects.first())\n"
    )
    assert manage(env, "shell", "--no-imports", "-c", lines).returncode == 0
    assert "4 originals are as they came" in manage(env, "verify_photos").stdout
    assert "The register is whole" in manage(env, "verify_register").stdout

    again = manage(env, "restore", str(place))
    assert again.returncode == 2
    assert "tables already" in again.stderr and "Nothing was restored" in again.stderr
    assert "Traceback" not in again.stderr


def test_photos_that_are_there_are_never_written_over(place: Path, tmp_path: Path) -> None:
    back_up()
    env = environment(tmp_path / "new")
    (tmp_path / "new" / "photos" / "originals").mkdir(parents=True)
    (tmp_path / "new" / "photos" / "originals" / "mine.jpeg").write_bytes(b"mine")
    refused = manage(env, "restore", str(place))
    assert refused.returncode == 2
    assert "The store of photos has files already" in refused.stderr and "mine.jpeg" in refused.stderr
    assert not (tmp_path / "new" / "ledger.sqlite3").exists() or not _tables(
        tmp_path / "new" / "ledger.sqlite3"
    )


def _tables(database: Path) -> list[str]:
    import sqlite3

    with sqlite3.connect(database) as opened:
        return [name for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]


def test_a_damaged_original_is_named_and_left_out_only_by_wish(place: Path, tmp_path: Path) -> None:
    person = make_person("collector")
    bad, good = photo(person, 1), photo(person, 2)
    back_up()
    (there,) = (place / "originals").rglob(bad.sha256)
    data = bytearray(there.read_bytes())
    data[len(data) // 2] ^= 8
    there.write_bytes(data)
    env = environment(tmp_path / "new")
    refused = manage(env, "restore", str(place))
    assert refused.returncode == 1
    assert f"{bad.original.name} (there originals/{bad.sha256[:2]}/{bad.sha256}) is damaged" in refused.stderr
    assert not _tables(tmp_path / "new" / "ledger.sqlite3")

    done = manage(env, "restore", str(place), "--leave-out", "--json")
    told = told_by(done)
    assert len(told["left_out"]) == 1 and bad.original.name in told["left_out"][0]
    assert (tmp_path / "new" / "photos" / good.original.name).exists()


def test_one_file_with_the_originals_in_it_needs_nothing_beside(
    place: Path, tmp_path: Path, settings: Any
) -> None:
    settings.BACKUP_PASSPHRASE = PASSPHRASE
    something_of_everything()
    back_up("--whole", str(tmp_path / "stick.tar.sealed"))
    alone = tmp_path / "elsewhere" / "stick.tar.sealed"
    alone.parent.mkdir()
    (tmp_path / "stick.tar.sealed").rename(alone)
    env = environment(tmp_path / "new", LEDGER_BACKUP_PASSPHRASE=PASSPHRASE)
    assert told_by(manage(env, "restore", str(alone), "--json"))["originals"] == 4
    wrong = environment(tmp_path / "third", LEDGER_BACKUP_PASSPHRASE="another one, and long")
    refused = manage(wrong, "restore", str(alone))
    assert refused.returncode == 1 and "not the one this file was sealed with" in refused.stderr


@pytest.mark.parametrize("spoil", ["cut off", "flipped"])
def test_a_bad_file_changes_nothing(place: Path, tmp_path: Path, spoil: str) -> None:
    back_up()
    data = bytearray(newest(place).read_bytes())
    if spoil == "cut off":
        del data[len(data) * 2 // 3 :]
    else:
        data[len(data) * 2 // 3] ^= 1
    newest(place).write_bytes(data)
    env = environment(tmp_path / "new")
    refused = manage(env, "restore", str(place))
    assert refused.returncode == 1 and "take another backup" in refused.stderr
    assert not (tmp_path / "new" / "photos").exists()


def test_a_backup_of_a_newer_program_is_refused() -> None:
    backup = Backup(
        Folder(Path("/tmp")), "x.tar", None, about={"migrations": [["ledger", "0999_of_the_future"]]}
    )
    with pytest.raises(BackupError, match=r"made by a newer program.*ledger 0999_of_the_future"):
        _must_be_known(backup)


@pytest.mark.parametrize(
    "file", ["../../etc/passwd", "/etc/passwd", "a/../b", "a//b", ".hidden", "a b", None]
)
def test_an_original_with_a_name_as_none_has_is_refused(file: Any) -> None:
    with pytest.raises(Damaged, match="as none is named"):
        _safe({"file": file}, "x.tar")


def test_rows_that_unpack_to_more_than_any_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("ledger.backup.rows.LARGEST_TEXT", 1000)
    with pytest.raises(Damaged, match="cannot be unpacked whole"):
        unpacked("rows/1", packed([b"x" * 5000]))


def test_the_digest_of_a_table_does_not_hang_on_the_order_of_its_rows() -> None:
    one, other = Tally(), Tally()
    for line in (b"a", b"b", b"c"):
        one.add(line)
    for line in (b"c", b"a", b"b"):
        other.add(line)
    assert one == other
    other.add(b"c")
    assert one != other


def test_there_is_nothing_to_restore_where_no_backup_lies(tmp_path: Path) -> None:
    (tmp_path / "none").mkdir()
    refused = manage(environment(tmp_path / "new"), "restore", str(tmp_path / "none"))
    assert refused.returncode == 1 and "has no backup" in refused.stderr


def test_what_is_not_empty_is_an_error_of_its_own() -> None:
    assert issubclass(NotEmpty, BackupError)
    assert backups_at(Folder(Path("/nowhere"))) == []


@pytest.mark.parametrize(
    ("sqlite", "postgresql"),
    [
        (1e16, 10**16),
        (-0.0, 0.0),
        (1.7976931348623157e308, 1.7976931348623157e308),
        ([{"a": 1e17}], [{"a": 10**17}]),
    ],
)
def test_numbers_that_a_database_writes_otherwise_have_the_same_digest(sqlite: Any, postgresql: Any) -> None:
    assert json.dumps(_one_form(sqlite)) == json.dumps(_one_form(postgresql))
    assert json.dumps(_one_form([True, 0, 1, 0.5, "x"])) == '[true, 0, 1, 0.5, "x"]'
