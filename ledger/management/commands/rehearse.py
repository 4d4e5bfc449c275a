"""Restore the newest backup into a scratch place and say whether it is all there."""

from __future__ import annotations

import json
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.utils import timezone

from ledger.backup.actions import note_run
from ledger.backup.errors import BackupError
from ledger.backup.making import SEALED, backups_at, moment_of
from ledger.backup.places import place_from
from ledger.backup.rehearsing import Rehearsed, rehearse
from ledger.management.house import HouseCommand
from ledger.management.progress import Progress
from ledger.starting import BadSetting

FAILED = 1


class Command(HouseCommand):
    help = (
        "Restore the newest backup into a scratch place, as `restore` would on a new machine, and throw it away again.\n"
        "Held against the backup: rows of each table, their digests, each photo, and the register's chain of digests.\n"
        "The ledger goes on meanwhile and is not touched. The date stands on the keeper's page, which warns when the\n"
        "last rehearsal is older than 90 days. The scratch place needs room for the database and all photos.\n\n"
        "On PostgreSQL a scratch database is made on the same server if the ledger's user may make one; else SQLite\n"
        "serves, which proves the same rows.\n\n"
        "Example:\n"
        "  python manage.py rehearse\n"
        "  python manage.py rehearse --scratch /mnt/large --json\n\n"
        "Exit codes: 0 all is there; 1 it failed, and why."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--name", help="another backup than the newest")
        parser.add_argument("--scratch", type=Path, help="a folder with room; left out, LEDGER_VAR")
        parser.add_argument(
            "--on", choices=["same", "sqlite"], default="same", help="the ledger's database, or SQLite"
        )
        parser.add_argument("--json", action="store_true", help="one JSON object, for a machine to read")

    def handle(self, *args: Any, **options: Any) -> None:
        name, words = options["name"] or "", str(settings.BACKUPS)
        try:
            with tempfile.TemporaryDirectory(prefix="rehearsal-", dir=settings.VAR) as scratch:
                place = place_from(settings.BACKUPS, Path(scratch))
                words = place.words
                if not name:
                    there = backups_at(place)
                    if not there:
                        raise BackupError(
                            f"{words} has no backup to rehearse. Make one: python manage.py backup"
                        )
                    name = there[0][1]
                done = rehearse(name, options["scratch"], on=options["on"], say=Progress(self.stderr))
        except (BackupError, BadSetting, OSError) as problem:
            said = str(problem)
            note_run(
                "rehearsal",
                now=timezone.now(),
                good=False,
                said=said,
                place=words,
                file=name,
                made_at=moment_of(name),
            )
            raise CommandError(said, returncode=FAILED) from problem
        said = _said(done)
        note_run(
            "rehearsal",
            now=timezone.now(),
            good=True,
            said=said,
            place=words,
            file=name,
            made_at=moment_of(name),
            sealed=name.endswith(SEALED),
            rows=done.told["rows"],
            originals=done.told["originals"],
            byte_size=done.told["original_bytes"],
        )
        self.stdout.write(json.dumps({**done.told, "note": done.note}) if options["json"] else said)


def _said(done: Rehearsed) -> str:
    told = done.told
    register = told["register"] or {}
    parts = [
        f"{told['name']} was restored on {done.database} and is all there: {told['tables'].get('ledger.find', 0)} finds, "
        f"{told['rows']} rows and {told['originals']} originals, each with its digest"
    ]
    if "entries" in register:
        parts.append(
            f"; the register has {register['entries']} entries, {register['trouble'] or 'and its chain is whole'}"
        )
    parts.append(".")
    if told["lacking"]:
        parts.append(f" {len(told['lacking'])} originals were lacking already when it was made.")
    if done.note:
        parts.append(f" {done.note} SQLite served instead.")
    return "".join(parts)
