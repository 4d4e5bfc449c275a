"""The originals of photos: which there are, and their way to a place. Immutable, so each is sent once."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from django.apps.registry import Apps
from django.core.files.storage import storages
from django.db import models

from ledger.backup.places import Place
from ledger.backup.sealing import Key, sealed, sealed_size
from ledger.backup.tables import in_order

FOLDER = "originals"
PAGE = 500


@dataclass(frozen=True, slots=True)
class Original:
    """One file of the storage with what the ledger has on record of it."""

    file: str
    digest: str
    size: int


class Lacking(Exception):
    """An original that cannot be backed up: missing, changed, unreadable."""


def columns_with_originals(apps: Apps) -> list[tuple[type[models.Model], str]]:
    """The tables with a file beside its digest and size, and the name of the file's column."""
    found = []
    for model in in_order(apps):
        names = {field.name for field in model._meta.concrete_fields}
        files = [field.name for field in model._meta.concrete_fields if isinstance(field, models.FileField)]
        if files and {"sha256", "byte_size"} <= names:
            found += [(model, name) for name in files]
    return found


def originals(apps: Apps, using: str) -> Iterator[Original]:
    """Each file once, by page and key, so that no query is held open while files are on their way."""
    for model, column in columns_with_originals(apps):
        rows = model._base_manager.using(using).order_by("sha256", column)
        after = ("", "")
        while True:
            page = list(
                # The first bound is what the index on sha256 is entered by.
                rows.filter(sha256__gte=after[0])
                .filter(models.Q(sha256__gt=after[0]) | models.Q(**{f"{column}__gt": after[1]}))
                .values_list(column, "sha256", "byte_size")
                .distinct()[:PAGE]
            )
            for file, digest, size in page:
                yield Original(file, digest, size)
            if len(page) < PAGE:
                break
            after = (page[-1][1], page[-1][0])


def still_on_record(apps: Apps, original: Original) -> bool:
    """Whether a row of the ledger as it is now has this file: a member may have taken a photo back meanwhile."""
    return any(
        model._base_manager.using("default")
        .filter(sha256=original.digest, **{column: original.file})
        .exists()
        for model, column in columns_with_originals(apps)
    )


def read(original: Original) -> bytes:
    """The bytes, held against their digest. Lacking says why there are none."""
    try:
        with storages["default"].open(original.file) as file:
            data: bytes = file.read(original.size + 1)
    except FileNotFoundError:
        raise Lacking("is missing") from None
    except OSError as problem:
        raise Lacking(f"cannot be read ({problem.strerror or problem})") from None
    if len(data) != original.size or sha256(data).hexdigest() != original.digest:
        raise Lacking("is not the photo that came: its bytes have another SHA-256")
    return data


class Names:
    """Many names with a number each, kept in a file of its own that vanishes: a million do not fill the memory."""

    def __init__(self) -> None:
        self._kept = sqlite3.connect("", isolation_level=None)
        self._kept.execute("PRAGMA journal_mode=OFF")
        self._kept.execute("CREATE TABLE names (name TEXT PRIMARY KEY, number INTEGER) WITHOUT ROWID")

    def add(self, many: Iterator[tuple[str, int]]) -> None:
        self._kept.execute("BEGIN")
        self._kept.executemany("INSERT OR REPLACE INTO names VALUES (?, ?)", many)
        self._kept.execute("COMMIT")

    def number(self, name: str) -> int | None:
        row = self._kept.execute("SELECT number FROM names WHERE name = ?", (name,)).fetchone()
        return row[0] if row else None

    def names(self) -> Iterator[str]:
        for (name,) in self._kept.execute("SELECT name FROM names"):
            yield name

    def close(self) -> None:
        self._kept.close()

    def __enter__(self) -> "Names":
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()


class AtPlace:
    """Originals at a place. What lies there under its name with its size is not sent again."""

    def __init__(self, place: Place, key: Key | None, salt: bytes) -> None:
        self._place, self._key, self._salt = place, key, salt
        self._there = Names()
        self._there.add(place.sizes(FOLDER))
        self.sent, self.sent_bytes = 0, 0

    def name_of(self, original: Original) -> str:
        name = self._key.name_of(self._salt, original.digest) if self._key else original.digest
        return f"{FOLDER}/{name[:2]}/{name}{'.sealed' if self._key else ''}"

    def size_of(self, original: Original) -> int:
        return sealed_size(original.size, self._key.costs) if self._key else original.size

    def send(self, original: Original) -> str:
        """See that it lies there; return its name. Lacking where the ledger itself has it no longer."""
        name = self.name_of(original)
        if self._there.number(name) != self.size_of(original):
            data = read(original)
            self._place.put(name, sealed(data, self._key, self._salt) if self._key else data)
            self._there.add(iter([(name, self.size_of(original))]))
            self.sent, self.sent_bytes = self.sent + 1, self.sent_bytes + original.size
        return name

    def close(self) -> None:
        self._there.close()


def closing_at(place: Place, key: Key | None, salt: bytes) -> Any:
    return closing(AtPlace(place, key, salt))
