"""The place a backup is restored into: whether it is empty, and what a restore that was cut off left there."""

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import storages
from django.db import connection

from ledger.backup.errors import NotEmpty
from ledger.backup.places import HALF, sync_folder

MARK = "restore_begun"
_DO = "Nothing was restored. Restore where nothing is: an empty LEDGER_VAR, an empty database, an empty store of photos."


class Target:
    """The ledger that the settings name, as a restore sees it.

    SQLite: a file beside, renamed when all is proved. PostgreSQL: a table marks the database until the rows are in, so
    that what a restore left that was cut off before can be told from a ledger.
    """

    def __init__(self) -> None:
        self._sqlite = connection.vendor == "sqlite"
        self._name = str(connection.settings_dict["NAME"])
        self._note = Path(settings.VAR) / "restore-begun.txt"

    def must_be_empty(self) -> None:
        """NotEmpty with a sentence. Photos that a restore left which was cut off may stay: each lies under its digest, and
        all are read again in the end."""
        there = self._tables()
        if there and not self._left_by_a_restore(there):
            raise NotEmpty(
                f"The database {self._name} has {len(there)} tables already, {there[0]} among them. {_DO}"
            )
        if not self._note.exists():
            self._photos_must_be_empty()

    @contextmanager
    def begun(self, name: str) -> Iterator[None]:
        """From here on things are written. A note says so until all is done, so that a restore can be run again."""
        self._note.write_text(f"A restore of {name} was begun here and has not ended.\n")
        _sweep_halves()
        yield
        self._note.unlink(missing_ok=True)

    def make_room(self, backup: Any) -> None:
        """Put away what a restore left that was cut off, and take the place."""
        if self._sqlite:
            connection.close()
            half = self._name + HALF
            _forget(half)
            connection.settings_dict["NAME"] = half
            return
        quote = connection.ops.quote_name
        with connection.cursor() as cursor:
            for table in self._tables():
                cursor.execute(f"DROP TABLE {quote(table)} CASCADE")
            cursor.execute(f"CREATE TABLE {MARK} (backup text NOT NULL)")
            cursor.execute(f"INSERT INTO {MARK} VALUES (%s)", [backup.name])

    def rows_are_in(self) -> None:
        """Within the transaction of the rows: from now on this is a ledger."""
        if not self._sqlite:
            with connection.cursor() as cursor:
                cursor.execute(f"DROP TABLE {MARK}")

    def finish(self) -> None:
        """Give SQLite's file its name, all of it on the disk before."""
        if not self._sqlite:
            return
        half = connection.settings_dict["NAME"]
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        connection.settings_dict["NAME"] = self._name
        handle = os.open(half, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
        _forget(self._name)
        Path(half).replace(self._name)
        _forget(half)
        sync_folder(Path(self._name).parent)

    def _tables(self) -> list[str]:
        with connection.cursor() as cursor:
            return sorted(
                table.name for table in connection.introspection.get_table_list(cursor) if table.type == "t"
            )

    def _left_by_a_restore(self, there: list[str]) -> bool:
        if MARK not in there:
            return False
        if "ledger_member" not in there:
            return True
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1 FROM ledger_member LIMIT 1")
            return cursor.fetchone() is None

    def _photos_must_be_empty(self) -> None:
        for name in _files():
            raise NotEmpty(f"The store of photos has files already, {name} among them. {_DO}")


def _files() -> Iterator[str]:
    storage: Any = storages["default"]
    if hasattr(storage, "bucket"):
        for there in storage.bucket.objects.filter(Prefix=f"{storage.location.strip('/')}/".lstrip("/")):
            yield there.key
        return
    folder = Path(storage.location)
    if folder.exists():
        yield from (str(file) for file in folder.rglob("*") if file.is_file())


def _sweep_halves() -> None:
    """What a kill left half written: the storage writes beside, under the name and 32 hexadecimal digits."""
    folder = Path(getattr(storages["default"], "location", ""))
    if not hasattr(storages["default"], "bucket") and folder.exists():
        for file in folder.rglob("*"):
            if re.fullmatch(r".+\.[0-9a-f]{32}", file.name):
                file.unlink()


def _forget(database: str) -> None:
    for end in ("", "-wal", "-shm"):
        Path(database + end).unlink(missing_ok=True)
