"""Photos in: admitted, kept unaltered, waiting under the form's UUID until the find is logged."""

import uuid
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from ledger.finds import awaited
from ledger.finds.access import may_amend
from ledger.finds.history import record_change
from ledger.finds.models import Find, Photo
from ledger.measures.scales import keep_look, look_at
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import (
    MOST_PER_FIND,
    AdmittedPhoto,
    PhotoLimits,
    admit,
    too_many_for_a_find,
)
from ledger.photos.view_table import VIEWS, view_words
from ledger.uploads import LeftOut
from ledger.words import kept_of, say

MOST_WAITING = 200


def add_photo(
    upload: UploadedFile,
    *,
    draft_id: uuid.UUID,
    by: Member,
    view: str = "",
    find: Find | None = None,
    is_nameless: bool = False,
    photo_id: uuid.UUID | None = None,
    now: datetime | None = None,
) -> Photo:
    """Keep one photograph under a draft's UUID, or of a find. The same bytes twice are one photo.

    `is_nameless`: the upload's name is none that the member knows, and is not said. `photo_id`: its identity elsewhere.

    Raises PhotoRefused with the sentence for the member; other photos and everything typed stay.
    """
    now = now or timezone.now()
    if isinstance(upload, LeftOut):
        raise upload.refusal
    limits = PhotoLimits(max_bytes=settings.PHOTO_LIMIT_MB * 1_000_000)
    # Read one byte more than allowed at most: what is too big is refused without being held in memory.
    data = upload.read(limits.max_bytes + 1)
    admitted = admit(data, limits, filename="" if is_nameless else upload.name or "")
    seen = look_at(data, by)
    with transaction.atomic():
        stored = Find.objects.select_for_update().filter(pk=draft_id).first()
        if stored is not None and not may_amend(stored, by):
            raise PhotoRefused(
                "not yours", say("This find is not yours to add to. Nothing was kept; open your own.")
            )
        if stored is None:
            # Of two photos that come at one moment the second is counted after the first.
            Member.objects.select_for_update().get(pk=by.pk)
        # What somebody else sent under the same identity is no business of this member's, until it is the find's.
        here = Photo.objects.filter(Q(uploaded_by=by) | Q(find__isnull=False), draft_id=draft_id)
        already = here.filter(sha256=admitted.sha256).first()
        if already is not None:
            return already
        if Photo.objects.filter(uploaded_by=by, find__isnull=True).count() >= MOST_WAITING:
            raise PhotoRefused(
                "too many",
                say(
                    "{most_waiting} photos of yours wait for finds that were not kept. Those are kept; keep or "
                    "empty the forms they belong to, then choose this one again.",
                    most_waiting=MOST_WAITING,
                ),
            )
        if here.count() >= MOST_PER_FIND:
            raise too_many_for_a_find()
        photo = _photo(admitted, data, draft_id, by, view, now)
        photo.id = photo_id or photo.id
        photo.find = find
        photo.numbers_seen = list(seen.numbers)
        photo.save(force_insert=True)
        keep_look(photo, seen, now=now)
        if find is not None:
            record_change(find, field="photos", old="", new=say("{n} added", n=1), by=by, now=now)
            awaited.have_come(find, [photo], now)
    return photo


def _photo(
    admitted: AdmittedPhoto, data: bytes, draft_id: uuid.UUID, by: Member, view: str, now: datetime
) -> Photo:
    facts = admitted.facts
    photo = Photo(
        draft_id=draft_id,
        view=view if view in VIEWS else "",
        sha256=admitted.sha256,
        format=admitted.format,
        byte_size=len(data),
        width=admitted.width,
        height=admitted.height,
        taken_at=facts.taken_at.replace(tzinfo=UTC) if facts.taken_at else None,
        utc_offset_minutes=facts.utc_offset_minutes,
        latitude=facts.latitude,
        longitude=facts.longitude,
        error_m=facts.error_m,
        altitude_m=facts.altitude_m,
        direction_deg=facts.direction_deg,
        camera=" ".join(part for part in (facts.camera_make, facts.camera_model) if part)[:120],
        orientation=facts.orientation or 1,
        warnings=[kept_of(one) or one for one in (*admitted.notes, *facts.warnings)],
        uploaded_by=by,
        uploaded_at=now,
    )
    # An original lies under its digest. The same bytes sent for another find share the file; nothing is overwritten.
    photo.original.name = photo.original.field.generate_filename(photo, "original")
    try:
        photo.original.storage.keep(photo.original.name, data)
    except OSError as problem:
        raise PhotoRefused(
            "no room",
            say(
                "The ledger could not write the photo to its disk, which may be full. It was not kept; the "
                "find and its other photos stay as they are. Tell the keeper, and send it again later."
            ),
        ) from problem
    return photo


def room_left(find: Find) -> int:
    """How many photos more this find takes."""
    return max(0, MOST_PER_FIND - Photo.objects.filter(find=find).order_by().count())


def claimed(find: Find, by: Member, views: Mapping[str, str]) -> list[Photo]:
    """The photos waiting under this find's UUID, with the views chosen for them; not written yet.

    Where somebody else has filled the find meanwhile, those beyond its room go on waiting.
    """
    # Sorted here: ordering in the query costs more than the few photos do.
    waiting = Photo.objects.filter(draft_id=find.pk, find__isnull=True, uploaded_by=by).order_by()
    photos = sorted(waiting, key=lambda photo: (photo.uploaded_at, photo.pk))
    if photos and not find._state.adding:
        photos = photos[: room_left(find)]
    for photo in photos:
        chosen = views.get(str(photo.pk))
        if chosen is not None and (chosen in VIEWS or chosen == ""):
            photo.view = chosen
    return photos


def attach(find: Find, photos: Sequence[Photo]) -> int:
    """Make waiting photos the find's own, with the views set on them."""
    for photo in photos:
        photo.find = find
    if photos:
        Photo.objects.bulk_update(photos, ["find", "view"])
    return len(photos)


def amended_views(find: Find, views: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    """Set the views chosen anew for photos the find has already."""
    changes = {}
    for photo in find.photos.all():
        chosen = views.get(str(photo.pk), photo.view)
        if chosen != photo.view and (chosen in VIEWS or chosen == ""):
            was, now = (view_words(view) if view else "" for view in (photo.view, chosen))
            changes[f"view of photo {str(photo.pk)[:8]}"] = (was, now)
            photo.view = chosen
            photo.save(update_fields=["view"])
    return changes


def remove_waiting(photo: Photo) -> None:
    """Take back a photo that no find has yet. Its file stays only where another photo has the same bytes."""
    with transaction.atomic():
        shared = Photo.objects.filter(sha256=photo.sha256).exclude(pk=photo.pk).exists()
        photo.delete()
    if not shared:
        photo.original.storage.delete(photo.original.name)


def fills(photo: Photo) -> dict[str, str]:
    """The form's fields that a photo can fill: its place with the error, and its day and time."""
    taken: dict[str, str] = {}
    if photo.latitude is not None and photo.longitude is not None:
        taken["position_typed"] = f"{photo.latitude:.6f}, {photo.longitude:.6f}"
        taken["position_source"] = "photo"
        if photo.error_m:
            taken["uncertainty_m"] = f"{photo.error_m:.0f}"
        if photo.altitude_m is not None:
            taken["altitude_m"] = f"{photo.altitude_m:.0f}"
    if photo.moment is not None:
        taken["found_on"] = f"{photo.moment:%Y-%m-%d}"
        taken["found_at_time"] = f"{photo.moment:%H:%M}"
        if photo.utc_offset_minutes is not None:
            taken["utc_offset_minutes"] = str(photo.utc_offset_minutes)
    return taken
