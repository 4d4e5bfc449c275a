"""Whether every original is on record as it came: hashed anew and held against its digest."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from ledger.finds.models import Photo

_READ_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Finding:
    """One original that is not as it came. `what` is missing, changed or unreadable; `file` is its name in the storage."""

    what: str
    photo: str
    find: str
    file: str
    sentence: str


def verify(photos: Any = None) -> Iterator[Finding | None]:
    """Hash each original anew: None for one that is as it came, else what is wrong with it.

    Files that several photos share are read once. Constant memory: no original is held whole.
    """
    rows = Photo.objects.select_related("find").order_by("sha256") if photos is None else photos
    before: tuple[str, str] | None = None
    for photo in rows.iterator(chunk_size=500):
        if before is None or before[0] != photo.original.name:
            before = (photo.original.name, _state(photo))
        yield _finding(photo, before[1])


def _state(photo: Photo) -> str:
    """Empty where the file has the digest on record."""
    digest = hashlib.sha256()
    try:
        with photo.original.storage.open(photo.original.name) as file:
            while part := file.read(_READ_BYTES):
                digest.update(part)
    except FileNotFoundError:
        return "missing"
    except OSError:
        return "unreadable"
    return "" if digest.hexdigest() == photo.sha256 else "changed"


def _finding(photo: Photo, state: str) -> Finding | None:
    if not state:
        return None
    find = str(photo.find) if photo.find else "no find yet"
    said = {
        "missing": "is missing",
        "unreadable": "cannot be read",
        "changed": f"is not the photo that came: it should have SHA-256 {photo.sha256}",
    }[state]
    return Finding(
        what=state,
        photo=str(photo.pk),
        find=find,
        file=photo.original.name,
        sentence=f"{photo.original.name} ({find}) {said}.",
    )
