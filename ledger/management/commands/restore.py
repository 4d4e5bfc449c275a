"""Restore a backup into an empty place."""

from __future__ import annotations

import json
import tempfile
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import DatabaseError, connection

from ledger.backup.errors import BackupError, NotEmpty, Unusable
from ledger.backup.keys import key_of_settings
from ledger.backup.making import backups_at
from ledger.backup.places import place_from
from ledger.backup.restoring import Backup, Restored, check, restore
from ledger.management.house import HouseCommand
from ledger.management.progress import Progress
from ledger.starting import BadSetting

REFUSED = 1
NO_PLACE = 2


class Command(HouseCommand):
    help = (
        "Restore a backup into an empty place: an empty LEDGER_VAR, and an empty database on SQLite or PostgreSQL,\n"
        "whichever of the two it came from. The backup is proved before anything is written, and what was restored is\n"
        "read again and held against it. Nothing that is there already is ever overwritten. The ledger must not run.\n\n"
        "FROM is a backup, a folder with backups, or a bucket as s3://...; left out, it is LEDGER_BACKUPS. Of several\n"
        "the newest is taken. A sealed backup needs the key it was made with (LEDGER_BACKUP_KEY_FILE or\n"
        "LEDGER_BACKUP_PASSPHRASE). Members sign in anew; passwords are as they were.\n\n"
        "Example:\n"
        "  LEDGER_VAR=/srv/new python manage.py restore /media/stick/backups\n"
        "  DATABASE_URL=postgres://club:pw@localhost/ledger LEDGER_VAR=/srv/new python manage.py restore\n"
        "  python manage.py restore --check /media/stick/backups   # prove it, and write nothing\n\n"
        "Exit codes: 0 restored; 1 the backup was refused, and why; 2 the place is not empty or cannot be used."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("place", nargs="?", metavar="FROM", help="a backup, or where backups lie")
        parser.add_argument("--name", help="which backup of several")
        parser.add_argument("--check", action="store_true", help="prove the backup and write nothing")
        parser.add_argument(
            "--leave-out",
            action="store_true",
            help="restore without originals that are missing or damaged; names them",
        )
        parser.add_argument("--json", action="store_true", help="one JSON object, for a machine to read")

    def handle(self, *args: Any, **options: Any) -> None:
        say = Progress(self.stderr)
        try:
            with tempfile.TemporaryDirectory(prefix="restore-", dir=settings.VAR) as scratch:
                backup = _backup(options["place"] or settings.BACKUPS, options["name"], Path(scratch))
                done = (
                    check(backup, say)
                    if options["check"]
                    else restore(backup, leave_out=options["leave_out"], say=say)
                )
        except (NotEmpty, Unusable) as problem:
            raise CommandError(str(problem), returncode=NO_PLACE) from problem
        except (BackupError, BadSetting) as problem:
            raise CommandError(str(problem), returncode=REFUSED) from problem
        except DatabaseError as problem:
            raise CommandError(
                f"The database could not be used: {str(problem).splitlines()[0]}. What was written so far is no ledger; "
                "make room or put the database right, and run this again.",
                returncode=NO_PLACE,
            ) from problem
        if options["json"]:
            self.stdout.write(json.dumps({**asdict(done), "database": connection.vendor}))
        else:
            self.stdout.write(_said(done, options["check"]))


def _backup(place: str, name: str | None, scratch: Path) -> Backup:
    key = key_of_settings()
    if not place.startswith("s3:") and Path(place).expanduser().is_file():
        path = Path(place).expanduser().resolve()
        return Backup(place_from(str(path.parent), scratch), path.name, key)
    there = place_from(place, scratch)
    if name is None:
        known = backups_at(there)
        if not known:
            raise BackupError(
                f"{there.words} has no backup. Nothing was restored; name a backup or where backups lie."
            )
        name = known[0][1]
    return Backup(there, name, key)


def _said(done: Restored, only_checked: bool) -> str:
    parts = [
        f"{done.name}, made {done.made_at[:16].replace('T', ' ')} UTC, {'is whole' if only_checked else 'is restored'}: "
        f"{done.tables.get('ledger.find', 0)} finds, {done.rows} rows, {done.originals} originals"
    ]
    if done.register and "entries" in done.register:
        whole = done.register["trouble"] or "whole"
        parts.append(f", a register of {done.register['entries']} entries ({whole})")
    parts.append(".")
    if done.lacking:
        parts.append(
            f" {len(done.lacking)} originals were lacking already when it was made: {' '.join(done.lacking[:20])}"
        )
    if done.left_out:
        parts.append(f" {len(done.left_out)} originals were left out: {'; '.join(done.left_out[:20])}.")
    if not only_checked:
        parts.append(" Next: python manage.py collectstatic, then start the ledger. Everybody signs in anew.")
    return "".join(parts)
