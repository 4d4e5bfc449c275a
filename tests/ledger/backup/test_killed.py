"""A backup killed at random points never leaves a file that `restore` accepts. BACKUP_KILL_SEED draws the same again."""

import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from ledger.backup.errors import Damaged
from ledger.backup.making import backups_at
from ledger.backup.places import Folder
from tests.ledger.backup.making import (
    PASSPHRASE,
    ROOT,
    address_here,
    environment,
    prove,
    something_of_everything,
)

KILLS = 20
SEED = int(os.environ.get("BACKUP_KILL_SEED") or random.SystemRandom().randrange(10**9))


def run(place: Path, points: list[int], tmp_path: Path, **given: str) -> list[dict[str, Any]]:
    env = environment(
        tmp_path,
        DATABASE_URL=address_here(),
        LEDGER_PHOTOS=str(settings.MEDIA_ROOT),
        PYTHONPATH=str(ROOT),
        **given,
    )
    command = [sys.executable, "-m", "tests.ledger.backup.killed_child", str(place), *map(str, points)]
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=600)
    assert done.returncode == 0, done.stderr
    return [json.loads(line) for line in done.stdout.splitlines()]


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("passphrase", ["", PASSPHRASE], ids=["open", "sealed"])
def test_killed_at_twenty_random_points_it_leaves_no_file_that_restore_accepts(
    tmp_path: Path, passphrase: str, capsys: pytest.CaptureFixture[str], settings: Any, cheap_keys: None
) -> None:
    something_of_everything()
    connection.close()
    secret = {"LEDGER_BACKUP_PASSPHRASE": passphrase} if passphrase else {}
    (whole,) = run(tmp_path / "whole", [0], tmp_path, **secret)
    (name,) = [name for _, name, _ in backups_at(Folder(tmp_path / "whole" / "0" / "backups"))]
    settings.BACKUP_PASSPHRASE = passphrase
    call_command("restore", str(tmp_path / "whole" / "0" / "backups" / name), "--check")

    # The call that gives the name is the last before which a kill must leave nothing.
    points = random.Random(SEED).sample(range(1, whole["named_at"] + 1), KILLS)
    ends = run(tmp_path / "killed", points, tmp_path, **secret)
    assert [end["killed"] for end in ends] == [True] * KILLS
    seen = 0
    for end in ends:
        place = tmp_path / "killed" / str(end["point"]) / "backups"
        assert backups_at(Folder(place)) == [], (
            end
        )  # before its name is given nothing is there to be restored
        halves = [file for file in place.glob("*") if file.is_file() and file.name != "place.json"]
        for half in halves:
            seen += 1
            with pytest.raises(CommandError, match="was cut off while it was written"):
                call_command("restore", str(half), "--check")
            must_be_refused_under_a_better_name(half, end, tmp_path)
    with capsys.disabled():
        sys.stdout.write(
            f"\nKilled: BACKUP_KILL_SEED={SEED}, {KILLS} of {whole['named_at']} points, {seen} halves left.\n"
        )


@pytest.mark.django_db(transaction=True)
def test_killed_after_its_name_was_given_it_is_whole(tmp_path: Path) -> None:
    something_of_everything()
    connection.close()
    (end,) = run(tmp_path / "killed", [-1], tmp_path)
    place = tmp_path / "killed" / "-1" / "backups"
    assert end["killed"] and len(backups_at(Folder(place))) == 1
    call_command("restore", str(place), "--check")


def must_be_refused_under_a_better_name(half: Path, end: dict[str, Any], tmp_path: Path) -> None:
    """Somebody who renames a half restores nothing either, unless all of it had been written."""
    if end["what"].startswith(("fsync", "replace", "unlink", "sync_folder")):
        return  # it is whole, and lacks its name
    renamed = tmp_path / half.name.lstrip(".").removesuffix(".part")
    shutil.copy(half, renamed)
    with pytest.raises(CommandError):
        call_command("restore", str(renamed), "--check")
    renamed.unlink()


@pytest.mark.django_db(transaction=True)
def test_a_half_is_refused_whatever_it_holds(tmp_path: Path) -> None:
    half = tmp_path / ".bracket-ledger-20260101T000000Z.tar.part"
    half.write_bytes(b"")
    with pytest.raises(Damaged, match="was cut off while it was written"):
        prove(half)
