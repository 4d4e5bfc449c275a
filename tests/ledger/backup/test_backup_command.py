"""`manage.py backup`: what it makes, what it leaves out, what it says when it cannot."""

import errno
import io
import json
import tarfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps as live_apps
from django.core.management import CommandError, call_command
from django.utils import timezone

from ledger.backup import keys, making, places, rows, tables
from ledger.backup.errors import CutOff, Damaged, WrongKey
from ledger.backup.making import backups_at, make
from ledger.backup.models import BackupRun
from ledger.backup.originals import AtPlace
from ledger.backup.places import Folder
from ledger.backup.pruning import tidy
from ledger.backup.retention import Keep
from ledger.backup.sealing import Key
from ledger.finds.models import Photo
from ledger.finds.photo_actions import remove_waiting
from tests.factories import FindFactory, make_photo, picture
from tests.ledger.backup.making import (
    PASSPHRASE,
    back_up,
    newest,
    photo,
    prove,
    something_of_everything,
)
from tests.people import make_person

pytestmark = pytest.mark.django_db(transaction=True)


def originals_at(place: Path) -> list[Path]:
    return sorted(file for file in (place / "originals").rglob("*") if file.is_file())


def names_in(path: Path) -> list[str]:
    with tarfile.open(path) as tar:
        return tar.getnames()


def rows_in(path: Path, label: str) -> list[dict[str, Any]]:
    """The rows of a table in a backup, read by nothing but tar, gzip and JSON."""
    found = []
    with tarfile.open(path) as tar:
        for info in tar:
            if info.name.startswith("rows/") and f"-{label}/" in info.name:
                inside = tar.extractfile(info)
                assert inside is not None
                head, *lines = map(json.loads, rows.unpacked(info.name, inside.read()))
                found += [dict(zip(head, line, strict=True)) for line in lines]
    return found


def test_every_table_and_each_original_is_in_it(place: Path) -> None:
    something_of_everything()
    told = back_up()
    for label, tally in told["tables"].items():
        assert (
            tally["rows"] == live_apps.get_model(label)._base_manager.count() or label == "ledger.backuprun"
        )
    assert told["tables"]["ledger.photo"]["rows"] == 3
    assert told["originals"] == 4  # one is of a loan's condition
    assert len(originals_at(place)) == 4
    assert told["register"]["entries"] > 2 and told["register"]["trouble"] == ""


def test_its_rows_are_read_by_tar_gzip_and_json_alone(place: Path) -> None:
    find = FindFactory(locality="Hollin Wood, 木")
    back_up()
    (row,) = rows_in(newest(place), "ledger.find")
    assert (row["id"], row["locality"], row["latitude"]) == (str(find.pk), "Hollin Wood, 木", find.latitude)


def test_whoever_is_signed_in_is_in_no_backup(place: Path, settings: Any) -> None:
    back_up()
    names = names_in(newest(place))
    assert not [name for name in names if "sessions" in name or "axes" in name]


@pytest.mark.django_db
def test_each_table_is_backed_up_or_named_with_the_reason_why_not() -> None:
    state = tables.models_at(tables.applied("default"), "default")
    backed_up = {model._meta.label_lower for model in tables.in_order(state)}
    of_the_search = {"ledger.findindex", "ledger.searchword", "ledger.worduse", "ledger.nameofword"}
    of_the_year = {"ledger.mapcount", "ledger.seasoncount", "ledger.countmove"}
    derived = of_the_search | of_the_year
    all_of_them = {model._meta.label_lower for model in live_apps.get_models(include_auto_created=True)}
    assert all_of_them - backed_up - derived == set(tables.LEFT_OUT) & all_of_them
    assert tables.points_out(state) == []


@pytest.mark.django_db
def test_tables_stand_after_those_they_point_to_but_for_one_circle() -> None:
    seen: set[str] = set()
    early = []
    for model in tables.in_order(tables.models_at(tables.applied("default"), "default")):
        label = model._meta.label_lower
        early += [(label, target) for target in sorted(tables._points_to(model) - seen - {label})]
        seen.add(label)
    assert len(early) == 1 and set(early[0]) == {"ledger.find", "ledger.determination"}


def test_a_second_backup_sends_only_what_is_new(place: Path) -> None:
    person = make_person("collector")
    photo(person, 1)
    assert back_up()["sent"] == 1
    photo(person, 2)
    again = back_up()
    assert (again["sent"], again["originals"]) == (1, 2)


def test_an_original_cut_off_at_the_place_is_sent_again(place: Path) -> None:
    photo(make_person("collector"), 1)
    back_up()
    (there,) = originals_at(place)
    there.write_bytes(there.read_bytes()[:-1])
    assert back_up()["sent"] == 1


def test_the_keeper_s_page_is_told(place: Path) -> None:
    FindFactory()
    back_up()
    run = BackupRun.objects.get()
    assert (run.kind, run.good, run.file, run.sealed) == ("backup", True, newest(place).name, False)
    assert run.rows > 1 and "can read it" in run.said


def test_one_file_can_hold_the_originals_too(place: Path, tmp_path: Path) -> None:
    something_of_everything()
    told = back_up("--whole", str(tmp_path / "stick.tar"))
    names = names_in(tmp_path / "stick.tar")
    assert told["originals"] == len([name for name in names if name.startswith("photos/")]) == 4
    prove(tmp_path / "stick.tar")
    with pytest.raises(CommandError, match="is there already and was left as it is"):
        back_up("--whole", str(tmp_path / "stick.tar"))


# --- The key ---------------------------------------------------------------------------------------------


@pytest.fixture
def sealed(place: Path, settings: Any, cheap_keys: None) -> Path:
    settings.BACKUP_PASSPHRASE = PASSPHRASE
    photo(make_person("collector"), 1)
    back_up()
    return place


def test_nothing_of_a_sealed_backup_can_be_read(sealed: Path) -> None:
    name = Photo.objects.get().sha256
    for file in [newest(sealed), *originals_at(sealed)]:
        assert file.read_bytes().startswith(b"bracket-ledger sealed 1\n")
        assert name not in file.name
    assert newest(sealed).name.endswith(".tar.sealed")
    assert not tarfile.is_tarfile(newest(sealed))


def test_it_is_proved_with_its_key_and_with_no_other(sealed: Path) -> None:
    prove(newest(sealed), Key(PASSPHRASE.encode()))
    with pytest.raises(WrongKey, match="not the one this file was sealed with"):
        prove(newest(sealed), Key(b"beech, larch, alder, oaks!"))
    with pytest.raises(WrongKey, match="no key is set"):
        prove(newest(sealed))


def test_sealed_originals_are_not_sent_twice_either(sealed: Path) -> None:
    assert back_up()["sent"] == 0


@pytest.mark.parametrize("passphrase", ["beech, larch, alder, oaks!", ""])
def test_a_key_that_is_not_the_one_before_is_asked_about(
    sealed: Path, settings: Any, passphrase: str
) -> None:
    settings.BACKUP_PASSPHRASE = passphrase
    with pytest.raises(CommandError, match="--another-key if this is on purpose") as refused:
        back_up()
    assert refused.value.returncode == 2
    assert len(backups_at(Folder(sealed))) == 1
    told = back_up("--another-key")
    assert (told["sent"], told["sealed"]) == (1, bool(passphrase))


def test_a_key_file_does_as_well(place: Path, settings: Any, tmp_path: Path, cheap_keys: None) -> None:
    file = tmp_path / "ledger-backup.key"
    out = io.StringIO()
    call_command("backup", "--make-key", str(file), stdout=out)
    assert "loses every backup" in out.getvalue()
    assert file.stat().st_mode & 0o077 == 0
    settings.BACKUP_KEY_FILE = str(file)
    assert back_up()["sealed"]
    key = keys.key_of_settings()
    prove(newest(place), key)
    with pytest.raises(CommandError, match="left as it is"):
        call_command("backup", "--make-key", str(file))


def test_a_key_file_that_is_gone_is_a_sentence(place: Path, settings: Any, tmp_path: Path) -> None:
    settings.BACKUP_KEY_FILE = str(tmp_path / "gone.key")
    with pytest.raises(CommandError, match=r"gone.key cannot be read"):
        back_up()
    assert BackupRun.objects.get().good is False


# --- Damage ----------------------------------------------------------------------------------------------


def test_one_flipped_bit_is_found_and_the_member_named(place: Path) -> None:
    something_of_everything()
    back_up()
    path = newest(place)
    with tarfile.open(path) as tar:
        infos = [info for info in tar if info.size]
    whole = path.read_bytes()
    for info in infos:
        bad = bytearray(whole)
        bad[info.offset_data + info.size // 2] ^= 16
        path.write_bytes(bad)
        with pytest.raises(Damaged, match=info.name):
            prove(path)


def test_a_flipped_bit_in_a_sealed_backup_is_found_and_where_it_is(sealed: Path) -> None:
    path = newest(sealed)
    bad = bytearray(path.read_bytes())
    bad[-40] ^= 1
    path.write_bytes(bad)
    with pytest.raises(Damaged, match=r"is (cut off or )?damaged: .*ABOUT.json|the head of the member"):
        prove(path, Key(PASSPHRASE.encode()))


def test_a_backup_cut_off_is_refused(place: Path) -> None:
    something_of_everything()
    back_up()
    path = newest(place)
    whole = path.read_bytes()
    for share in range(1, 20):
        path.write_bytes(whole[: len(whole) * share // 20])
        with pytest.raises(CutOff, match=r"is cut off: .* take another backup"):
            prove(path)


def test_an_original_gone_from_the_place_is_named_before_anything_is_restored(place: Path) -> None:
    one = photo(make_person("collector"), 1)
    back_up()
    originals_at(place)[0].unlink()
    with pytest.raises(CommandError, match=f"{one.original.name} .* is missing. Nothing was restored"):
        call_command("restore", str(place), "--check")


# --- What goes wrong -------------------------------------------------------------------------------------


def test_an_original_the_ledger_has_lost_is_named_and_the_rest_is_backed_up(place: Path) -> None:
    person = make_person("collector")
    lost = photo(person, 1)
    photo(person, 2)
    Path(lost.original.path).unlink()
    with pytest.raises(CommandError, match=f"{lost.original.name} is missing") as told:
        back_up()
    assert told.value.returncode == 1
    prove(newest(place))
    assert len(originals_at(place)) == 1


def test_a_photo_taken_back_meanwhile_is_no_failure(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    person = make_person("collector")
    draft = make_photo(by=person, data=picture())
    sent = AtPlace.send

    def taken_back_first(self: AtPlace, original: Any) -> str:
        if Photo.objects.filter(pk=draft.pk).exists():
            remove_waiting(draft)
        return sent(self, original)

    def none_ahead(at_place: AtPlace, say: Any) -> None: ...

    monkeypatch.setattr(making, "_send_ahead", none_ahead)
    monkeypatch.setattr(AtPlace, "send", taken_back_first)
    told = back_up()
    assert (told["taken_back"], told["lacking"], told["originals"]) == (1, [], 0)


def test_a_full_disk_is_a_sentence_and_leaves_earlier_backups_alone(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    something_of_everything()
    back_up()
    before = {file: file.read_bytes() for file in place.rglob("*") if file.is_file()}
    opened = places.open_new

    class Full(io.BufferedWriter):
        def write(self, data: Any, /) -> int:
            if self.tell() > 20_000:
                raise OSError(errno.ENOSPC, "No space left on device")
            return super().write(data)

    def open_full(path: Path) -> Any:
        return Full(opened(path).detach())  # type: ignore[attr-defined]

    monkeypatch.setattr(places, "open_new", open_full)
    with pytest.raises(CommandError, match="could not be written: No space left on device") as told:
        back_up()
    assert told.value.returncode == 2
    assert {file: file.read_bytes() for file in place.rglob("*") if file.is_file()} == before
    assert BackupRun.objects.filter(good=False).count() == 1


def test_two_backups_at_once_are_one(place: Path) -> None:
    with making.alone(), pytest.raises(CommandError, match="Another backup of this ledger is being made"):
        back_up()


# --- What stays ------------------------------------------------------------------------------------------


def test_old_backups_go_and_originals_only_when_no_backup_left_needs_them(place: Path) -> None:
    person = make_person("collector")
    now = timezone.now()
    there = Folder(place)

    def backup_of(days_ago: int) -> None:
        make(there, None, b"", now=now - timedelta(days=days_ago), say=lambda line: None)

    draft = make_photo(by=person, data=picture(size=(310, 200)))
    backup_of(40)
    remove_waiting(draft)
    photo(person, 1)
    backup_of(3)
    backup_of(1)
    assert len(originals_at(place)) == 2
    assert tidy(there, None, Keep(3, 0, 0)).backups == []
    tidied = tidy(there, None, Keep(2, 0, 0))
    assert (len(tidied.backups), tidied.originals) == (1, 1)
    (left,) = originals_at(place)
    assert left.name == Photo.objects.get().sha256


def test_where_a_backup_cannot_be_asked_no_original_goes(place: Path) -> None:
    person = make_person("collector")
    there, now = Folder(place), timezone.now()
    draft = make_photo(by=person, data=picture(size=(310, 200)))
    make(there, None, b"", now=now - timedelta(days=9), say=lambda line: None)
    remove_waiting(draft)
    for days in (2, 1):
        make(there, None, b"", now=now - timedelta(days=days), say=lambda line: None)
    newest(place).write_bytes(b"spoilt")
    tidied = tidy(there, None, Keep(2, 0, 0))
    assert len(tidied.backups) == 1 and tidied.originals == 0 and "Originals were all left" in tidied.left
    assert len(originals_at(place)) == 1


def test_halves_of_a_run_that_was_killed_are_swept_by_the_next(place: Path) -> None:
    (place / "originals" / "ab").mkdir(parents=True)
    halves = [place / ".bracket-ledger-20260101T000000Z.tar.part", place / "originals" / "ab" / ".abc.part"]
    for half in halves:
        half.write_bytes(b"half")
    back_up()
    assert not any(half.exists() for half in halves)


def test_the_backups_are_listed_the_newest_first(place: Path) -> None:
    for days in (3, 1, 2):
        make(Folder(place), None, b"", now=timezone.now() - timedelta(days=days), say=lambda line: None)
    out = io.StringIO()
    call_command("backup", "--list", stdout=out)
    lines = out.getvalue().splitlines()
    assert len(lines) == 3 and lines == sorted(lines, reverse=True)
