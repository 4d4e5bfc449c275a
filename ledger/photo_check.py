"""Whether every original is on record as it came: hashed anew and held against its digest."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import models

from ledger.backup.originals import columns_with_originals

_READ_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Finding:
    """One original that is not as it came. `what` is missing, changed or unreadable; `file` is its name in the storage.

    `of`: the find, or whatever else the photo is of, such as a part on loan.
    """

    what: str
    photo: str
    of: str
    file: str
    sentence: str


def how_many() -> int:
    """The originals on record, of finds and of all else that has photos."""
    return sum(model._base_manager.count() for model, _ in columns_with_originals(apps))


def verify() -> Iterator[Finding | None]:
    """Hash each original anew: None for one that is as it came, else what is wrong with it.

    The same tables as a backup takes, whatever room they are of. Files that several photos share are read once. Constant
    memory: no original is held whole.
    """
    for model, column in columns_with_originals(apps):
        yield from _verify(model._base_manager.order_by("sha256"), column)


def _verify(photos: models.QuerySet[Any], column: str) -> Iterator[Finding | None]:
    before: tuple[str, str] | None = None
    for photo in photos.iterator(chunk_size=500):
        original = getattr(photo, column)
        if before is None or before[0] != original.name:
            before = (original.name, _state(original, photo.sha256))
        yield _finding(photo, original.name, before[1])


def _state(original: Any, sha256: str) -> str:
    """Empty where the file has the digest on record."""
    digest = hashlib.sha256()
    try:
        with original.storage.open(original.name) as file:
            while part := file.read(_READ_BYTES):
                digest.update(part)
    except FileNotFoundError:
        return "missing"
    except OSError:
        return "unreadable"
    return "" if digest.hexdigest() == sha256 else "changed"


def _finding(photo: Any, file: str, state: str) -> Finding | None:
    if not state:
        return None
    of = str(photo)
    said = {
        "missing": "is missing",
        "unreadable": "cannot be read",
        "changed": f"is not the photo that came: it should have SHA-256 {photo.sha256}",
    }[state]
    return Finding(
        what=state,
        photo=str(photo.pk),
        of=of,
        file=file,
        sentence=f"{file} ({of}) {said}.",
    )
