"""The rehearsal: the newest backup restored by the very command a keeper would run, into a place that is thrown away."""

import json
import os
import secrets
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

from django.conf import settings
from django.db import DatabaseError, connection

from ledger.backup.errors import BackupError
from ledger.backup.making import Say


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """What the restore told (its JSON), and on which database it was done."""

    told: dict[str, Any]
    database: str
    note: str = ""


def rehearse(name: str, scratch: Path | None, *, on: str, say: Say) -> Rehearsed:
    """Restore that backup of the configured place into a scratch place. BackupError: it failed, and why.

    `on`: `same` database as the ledger's if its server lets us make one, else `sqlite`.
    """
    folder_of = tempfile.TemporaryDirectory(prefix="rehearsal-", dir=scratch or settings.VAR)
    with folder_of as folder, _database(on) as (address, database, note):
        say(f"restoring {name} on {database}")
        told = _restore(name, Path(folder), address, say)
    return Rehearsed(told, database, note)


def _restore(name: str, folder: Path, address: str, say: Say) -> dict[str, Any]:
    ours = {key: value for key, value in os.environ.items() if not key.startswith(("LEDGER_", "DATABASE_"))}
    environment = {
        **ours,
        "DJANGO_SETTINGS_MODULE": "ledger.settings",
        "LEDGER_VAR": str(folder / "var"),
        "DATABASE_URL": address,
        "LEDGER_BACKUPS": settings.BACKUPS,
        "LEDGER_BACKUP_PASSPHRASE": settings.BACKUP_PASSPHRASE,
        "LEDGER_BACKUP_KEY_FILE": settings.BACKUP_KEY_FILE,
        "PYTHONUNBUFFERED": "1",
    }
    with subprocess.Popen(
        [sys.executable, str(settings.ROOT / "manage.py"), "restore", "--name", name, "--json"],
        cwd=settings.ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdout is not None and child.stderr is not None
        last = ""
        for line in child.stderr:
            last = line.strip() or last
            say(last)
        said = child.stdout.read()
    if child.returncode:
        raise BackupError(
            last.removeprefix("CommandError: ") or f"The restore ended with {child.returncode}."
        )
    told: dict[str, Any] = json.loads(said.splitlines()[-1])
    return told


@contextmanager
def _database(on: str) -> Iterator[tuple[str, str, str]]:
    """The address of an empty scratch database, what it is called, and a note where it is another than was wanted."""
    if connection.vendor == "sqlite" or on == "sqlite":
        yield "", "SQLite", ""
        return
    name = f"{str(connection.settings_dict['NAME'])[:40]}_rehearsal_{secrets.token_hex(4)}"
    try:
        _on_server(f"CREATE DATABASE {connection.ops.quote_name(name)}")
    except DatabaseError as problem:
        yield (
            "",
            "SQLite",
            f"No scratch database could be made on PostgreSQL ({str(problem).splitlines()[0]}).",
        )
        return
    try:
        yield _address(name), "PostgreSQL", ""
    finally:
        _on_server(f"DROP DATABASE IF EXISTS {connection.ops.quote_name(name)} WITH (FORCE)")


def _on_server(statement: str) -> None:
    with connection._nodb_cursor() as cursor:
        cursor.execute(statement)


def _address(name: str) -> str:
    """The address of another database on the ledger's server."""
    entry = connection.settings_dict
    user, password = quote(str(entry["USER"]), safe=""), quote(str(entry["PASSWORD"]), safe="")
    host, port = quote(str(entry["HOST"]), safe=""), entry["PORT"]
    asked = {key: value for key, value in entry.get("OPTIONS", {}).items() if isinstance(value, str)}
    return (
        f"postgres://{user}{f':{password}' if password else ''}@{host}{f':{port}' if port else ''}/{quote(name, safe='')}"
        f"{f'?{urlencode(asked)}' if asked else ''}"
    )
