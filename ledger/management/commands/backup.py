"""Make a backup while the ledger runs."""

from __future__ import annotations

import json
import tempfile
from argparse import ArgumentParser
from contextlib import suppress
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import DatabaseError
from django.utils import timezone

from ledger.backup.actions import note_run
from ledger.backup.errors import BackupError
from ledger.backup.keys import key_of_settings, make_key_file, salt_for
from ledger.backup.making import Made, alone, backups_at, make, make_whole
from ledger.backup.places import Bucket, Folder, place_from
from ledger.backup.pruning import Tidied, tidy
from ledger.backup.retention import Keep
from ledger.management.house import HouseCommand
from ledger.management.progress import Progress
from ledger.starting import BadSetting

SOME_LACKING = 1
NOT_MADE = 2


class Command(HouseCommand):
    help = (
        "Make a backup of the database, the originals of photos and the register, while members go on logging.\n"
        "It is one moment of the database as one file, read back and proved before it gets its name. Originals never\n"
        "change: at a place only new ones are sent. What stays there is told by LEDGER_BACKUP_KEEP.\n\n"
        "The place is LEDGER_BACKUPS (a folder, or a bucket as s3://...). If LEDGER_BACKUP_KEY_FILE or\n"
        "LEDGER_BACKUP_PASSPHRASE is set, all of it is sealed. WITHOUT THE KEY A SEALED BACKUP IS LOST, and with it\n"
        "every find, photo and number in it: nobody can open it, nor can we. Keep the key on paper, away from the\n"
        "ledger's machine; it is in no backup.\n\n"
        "Example:\n"
        "  python manage.py backup                            # to the place that is set; what a timer runs\n"
        "  python manage.py backup --whole /media/stick/ledger-2026.tar   # one file with the photos in it\n"
        "  python manage.py backup --list\n"
        "  python manage.py backup --make-key /root/ledger-backup.key\n\n"
        "Exit codes: 0 made; 1 made, but some originals are missing or changed in the ledger itself; 2 not made."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_mutually_exclusive_group()
        what.add_argument(
            "--whole", metavar="FILE", help="one file with the originals in it; nothing else is tidied"
        )
        what.add_argument("--list", action="store_true", help="the backups at the place, the newest first")
        what.add_argument("--make-key", metavar="FILE", help="write a new key file and do nothing else")
        parser.add_argument(
            "--another-key", action="store_true", help="the key was changed, set or taken away on purpose"
        )
        parser.add_argument("--json", action="store_true", help="one JSON object, for a machine to read")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        try:
            if options["make_key"]:
                make_key_file(Path(options["make_key"]))
                self.stdout.write(_OF_THE_KEY.format(file=options["make_key"]))
                return
            with tempfile.TemporaryDirectory(prefix="backup-", dir=settings.VAR) as scratch:
                place = place_from(str(_folder(options)), Path(scratch))
                if options["list"]:
                    self._list(place, options["json"])
                else:
                    self._make(place, options, now)
        except (BackupError, BadSetting) as problem:
            raise CommandError(str(problem), returncode=NOT_MADE) from problem

    def _make(self, place: Folder | Bucket, options: dict[str, Any], now: datetime) -> None:
        say = Progress(self.stderr)
        try:
            with alone():
                place.sweep()
                key = key_of_settings()
                salt = salt_for(place, key, another=options["another_key"] or bool(options["whole"]))
                if options["whole"]:
                    made = make_whole(place, Path(options["whole"]).name, key, salt, now=now, say=say)
                    tidied = Tidied([], 0)
                else:
                    made = make(place, key, salt, now=now, say=say)
                    tidied = tidy(place, key, Keep(*settings.BACKUP_KEEP))
        except (BackupError, DatabaseError) as problem:
            _note(now, good=False, said=str(problem), place=place.words)
            raise CommandError(str(problem), returncode=NOT_MADE) from problem
        said = _said(made, tidied)
        _note(
            timezone.now(),
            good=True,
            said=said,
            place=made.place,
            file=made.name,
            made_at=made.made_at,
            sealed=made.sealed,
            rows=made.rows,
            originals=made.originals,
            byte_size=made.bytes,
        )
        if options["json"]:
            self.stdout.write(json.dumps(_as_json(made, tidied)))
        else:
            self.stdout.write(said)
        if made.lacking:
            raise CommandError(
                f"{len(made.lacking)} originals could not be backed up, since the ledger has them no longer as they came: "
                f"{' '.join(made.lacking[:20])} The rest is in the backup. An earlier backup may have them.",
                returncode=SOME_LACKING,
            )

    def _list(self, place: Folder | Bucket, as_json: bool) -> None:
        there = backups_at(place)
        for moment, name, size in there:
            self.stdout.write(
                json.dumps({"name": name, "made_at": moment.isoformat(), "bytes": size})
                if as_json
                else f"{moment:%Y-%m-%d %H:%M} UTC  {size / 1e6:10.1f} MB  {name}"
            )
        if not there and not as_json:
            self.stdout.write(f"{place.words} has no backup yet. Make one: python manage.py backup")


_OF_THE_KEY = (
    "{file} is a new key. Set LEDGER_BACKUP_KEY_FILE to it, and write its one line on paper now, kept away from this "
    "machine. Whoever loses it loses every backup that is sealed with it; whoever finds it can read them all."
)


def _folder(options: dict[str, Any]) -> Path | str:
    if not options["whole"]:
        return str(settings.BACKUPS)
    return Path(options["whole"]).expanduser().resolve().parent


def _note(now: datetime, *, good: bool, said: str, place: str, **facts: Any) -> None:
    with suppress(DatabaseError):  # its table may not be there before a migration; the backup is what counts
        note_run("backup", now=now, good=good, said=said, place=place, **facts)


def _said(made: Made, tidied: Tidied) -> str:
    sealed = "sealed" if made.sealed else "not sealed: whoever has it can read it, exact places too"
    parts = [
        f"{made.place}/{made.name}: {made.rows} rows, {made.originals} originals, {made.bytes / 1e6:.1f} MB, {sealed}."
    ]
    if made.sent:
        parts.append(
            f"{made.sent} originals were sent ({made.sent_bytes / 1e6:.1f} MB); the others lay there already."
        )
    if tidied.backups:
        parts.append(
            f"{len(tidied.backups)} older backups went, and {tidied.originals} originals that none needs."
        )
    if tidied.left:
        parts.append(tidied.left)
    if made.register and made.register.get("trouble"):
        parts.append(f"The register is not whole: {made.register['trouble']}")
    return " ".join(parts)


def _as_json(made: Made, tidied: Tidied) -> dict[str, Any]:
    return {**asdict(made), "made_at": made.made_at.isoformat(), "tidied": asdict(tidied)}
