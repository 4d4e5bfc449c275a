"""Photographs that came along in an archive, kept by the door of all photographs."""

import hashlib
import uuid
from collections.abc import Mapping
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

_MICROSECOND = timedelta(microseconds=1)


def keep_photos(
    draft: Draft, line: Line, there: frozenset[str], data: bytes, *, by: Member, now: datetime, dry: bool
) -> Mapping[str, str]:
    """Keep photographs that came along, under the find's identity. In a dry run they are only counted."""
    wanted: dict[str, PhotoOut] = {}
    for photo in draft.photos:
        if photo.path in there:
            wanted[photo.path] = photo
        else:
            line.says.append(f"Photograph {photo.path[:80]} did not come along; it is left out.")
    if not wanted or dry:
        return {}
    views = {}
    for place, (path, content) in enumerate(files.photo_bytes(data, wanted)):
        told = wanted[path]
        if told.sha256 and hashlib.sha256(content).hexdigest() != told.sha256:
            raise PhotoRefused(
                "damaged", f"Photograph {path[:80]} is not the one the archive tells of: its sum differs."
            )
        upload = SimpleUploadedFile(path.rpartition("/")[2] or "photo.jpeg", content)
        view = told.view if told.view in VIEWS else ""
        key = _uuid(told.id)
        if key is not None and Photo.objects.filter(pk=key).exists():
            key = None
        made = photo_actions.add_photo(upload, draft_id=draft.id, by=by, view=view, photo_id=key, now=now)
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
    try:
        return datetime.fromisoformat(text).replace(tzinfo=UTC) if text else None
    except ValueError:
        return None
