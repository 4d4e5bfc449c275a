"""Photographs that came along in an archive, kept by the door of all photographs."""

import hashlib
import uuid
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from django.core.files.uploadedfile import SimpleUploadedFile

from ledger.exchange.media import PhotoOut
from ledger.finds import photo_actions
from ledger.finds.models import Photo
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.photos.view_table import VIEWS
from ledger.taking_in import files
from ledger.taking_in.drafts import Draft
from ledger.taking_in.report import Line
from ledger.words import say

_MICROSECOND = timedelta(microseconds=1)
_AT_ONCE = 500


class Originals:
    """What was laid into the store meanwhile, by digest: files do not go with a transaction that is rolled back."""

    def __init__(self) -> None:
        self._laid: dict[str, str] = {}

    def note(self, photo: Photo) -> None:
        self._laid[photo.sha256] = photo.original.name

    def drop_what_no_photo_has(self) -> None:
        sums = list(self._laid)
        for start in range(0, len(sums), _AT_ONCE):
            some = sums[start : start + _AT_ONCE]
            kept = set(Photo.objects.filter(sha256__in=some).order_by().values_list("sha256", flat=True))
            for sha256 in some:
                if sha256 not in kept:
                    Photo.original.field.storage.delete(self._laid[sha256])  # type: ignore[attr-defined]


@contextmanager
def originals_as_rows() -> Iterator[Originals]:
    """Around a transaction: after it, whether it was kept or rolled back, no original lies there without its photo."""
    laid = Originals()
    try:
        yield laid
    finally:
        laid.drop_what_no_photo_has()


def keep_photos(
    draft: Draft,
    line: Line,
    there: frozenset[str],
    data: bytes,
    originals: Originals,
    *,
    by: Member,
    now: datetime,
) -> Mapping[str, str]:
    """Keep photographs that came along, under the find's identity. Raises PhotoRefused."""
    wanted: dict[str, PhotoOut] = {}
    for photo in draft.photos:
        if photo.path in there:
            wanted[photo.path] = photo
        else:
            line.says.append(
                say("Photograph {path} did not come along; it is left out.", path=photo.path[:80])
            )
    views = {}
    for place, (path, content) in enumerate(files.photo_bytes(data, wanted) if wanted else ()):
        told = wanted[path]
        if told.sha256 and hashlib.sha256(content).hexdigest() != told.sha256:
            raise PhotoRefused(
                "damaged",
                say(
                    "Photograph {path} is not the one the archive tells of: its sum differs.", path=path[:80]
                ),
            )
        upload = SimpleUploadedFile(path.rpartition("/")[2] or "photo.jpeg", content)
        view = told.view if told.view in VIEWS else ""
        key = _uuid(told.id)
        if key is not None and Photo.objects.filter(pk=key).exists():
            key = None
        made = photo_actions.add_photo(upload, draft_id=draft.id, by=by, view=view, photo_id=key, now=now)
        originals.note(made)
        # In their order, which is that of their arrival.
        arrived = now + place * _MICROSECOND
        Photo.objects.filter(pk=made.pk).update(
            taken_at=_taken_at(told.taken) or made.taken_at, uploaded_at=arrived
        )
        views[str(made.pk)] = view
    return views


def _uuid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None


def _taken_at(text: str) -> datetime | None:
    """As the camera's clock showed it; None where no clock of a camera can have."""
    try:
        taken = datetime.fromisoformat(text).replace(tzinfo=UTC) if text else None
    except ValueError:
        return None
    return taken if taken is not None and 1900 <= taken.year < 9999 else None
