"""What the tests of backups share: a ledger with something of everything, and commands of another ledger."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path
from typing import Any
from urllib.parse import quote

from django.core.management import call_command
from django.db import connection

from ledger.backup.making import backups_at
from ledger.backup.places import Folder
from ledger.backup.restoring import Backup
from ledger.backup.sealing import Key
from ledger.finds.models import Photo
from ledger.people.models import Member
from tests.factories import FindFactory, FlagFactory, ReadingFactory, make_photo, name_find, picture
from tests.people import make_person
from tests.vouchers.loans.scene import make_scene

ROOT = Path(__file__).resolve().parents[3]
PASSPHRASE = "beech, larch, alder, thorn"
NOW = datetime(2026, 11, 2, 19, 30, 15, 123456, tzinfo=UTC)


def something_of_everything() -> Member:
    """Finds with photos, readings, names; vouchers with register, loans, exchange; and values two databases keep apart."""
    curator = make_person("curator")
    make_scene(curator, NOW)
    find = FindFactory(
        finder=curator, locality='Hollin "Wood", ñ, 木, \\ and\na second line\t', logged_at=NOW
    )
    name_find(find, None, name_typed="Trametes cf. ochracea ×")
    ReadingFactory(find=find, values=[5.0, 0.1, 1 / 3, 58.3], read_at=NOW)
    ReadingFactory(find=find, trait="pores_per_mm", values=[], states=["é", "b"], low=1 / 3, high=2e-308)
    # What PostgreSQL's JSON gives back in another form.
    FlagFactory(
        find=find,
        numbers={"a": [1e16, 1e-7, -0.0, 0, True, 1.7976931348623157e308, 12345678901234567890], "é": None},
    )
    for number in range(3):
        photo(curator, number)
    return curator


def photo(by: Member, number: int) -> Photo:
    """The photo of a find, another picture for another number."""
    return make_photo(find=FindFactory(finder=by), by=by, data=picture(size=(300 + number, 200)))


def back_up(*arguments: str) -> dict[str, Any]:
    """`manage.py backup` here; what it told."""
    out = StringIO()
    call_command("backup", *arguments, "--json", stdout=out, stderr=StringIO())
    told: dict[str, Any] = json.loads(out.getvalue().splitlines()[-1])
    return told


def newest(folder: Path) -> Path:
    return folder / backups_at(Folder(folder))[0][1]


def prove(path: Path, key: Key | None = None) -> None:
    """As `restore` proves a file before it writes anything."""
    Backup(Folder(path.parent), path.name, key).prove(lambda line: None)


def address_here(name: str = "") -> str:
    """DATABASE_URL of the test's own database, or of another one on its server."""
    entry = connection.settings_dict
    name = name or str(entry["NAME"])
    if connection.vendor == "sqlite":
        return f"sqlite:///{name}"
    user, password = quote(entry["USER"], safe=""), quote(entry["PASSWORD"], safe="")
    return f"postgres://{user}:{password}@{entry['HOST']}:{entry['PORT']}/{name}"


def environment(var: Path, **given: str) -> dict[str, str]:
    """Of a ledger of its own, on SQLite unless another is given."""
    var.mkdir(exist_ok=True)
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("LEDGER_", "DATABASE_"))}
    return {**clean, "DJANGO_SETTINGS_MODULE": "ledger.settings", "LEDGER_VAR": str(var), **given}


def manage(env: dict[str, str], *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=env,
        capture_output=True,
        text=True,
        timeout=600,
    )


def told_by(done: subprocess.CompletedProcess[str]) -> dict[str, Any]:
    assert done.returncode == 0, done.stdout + done.stderr
    told: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return told
