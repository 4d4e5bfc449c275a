"""Photos of conditions: through the same door as photos of finds, and kept apart from them."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import AdmittedPhoto, PhotoLimits, admit
from ledger.uploads import LeftOut
from ledger.words import say
from vouchers.loans.models import Condition, ConditionPhoto

MOST_PHOTOS = 12
SIZES = {"thumb": 480, "screen": 1600}


def add_photos(
    condition: Condition, uploads: Iterable[UploadedFile], *, by: Member, now: datetime
) -> list[str]:
    """Keep photos of a condition, one by one; return a sentence for each that was not kept. The others are."""
    told = []
    for upload in uploads:
        try:
            _add(condition, upload, by=by, now=now)
        except PhotoRefused as refusal:
            told.append(str(refusal))
    return told


def _add(condition: Condition, upload: UploadedFile, *, by: Member, now: datetime) -> ConditionPhoto:
    """The same bytes twice are one photo."""
    if isinstance(upload, LeftOut):
        raise upload.refusal
    limits = PhotoLimits(max_bytes=settings.PHOTO_LIMIT_MB * 1_000_000)
    # One byte more than allowed at most: what is too big is refused without being held in memory.
    data = upload.read(limits.max_bytes + 1)
    admitted = admit(data, limits, filename=upload.name or "")
    with transaction.atomic():
        Condition.objects.select_for_update().get(pk=condition.pk)
        here = ConditionPhoto.objects.filter(condition=condition)
        already = here.filter(sha256=admitted.sha256).first()
        if already is not None:
            return already
        if here.count() >= MOST_PHOTOS:
            raise PhotoRefused(
                "too many",
                say(
                    "{most} photos of one condition are kept at most, and are kept. Note another for more.",
                    most=MOST_PHOTOS,
                ),
            )
        return _kept(admitted, data, condition, by, now)


def _kept(
    admitted: AdmittedPhoto, data: bytes, condition: Condition, by: Member, now: datetime
) -> ConditionPhoto:
    photo = ConditionPhoto(
        condition=condition,
        sha256=admitted.sha256,
        format=admitted.format,
        byte_size=len(data),
        added_at=now,
        added_by=by,
    )
    photo.original.name = photo.original.field.generate_filename(photo, "original")
    try:
        photo.original.storage.keep(photo.original.name, data)
    except OSError as problem:
        raise PhotoRefused(
            "no room",
            say(
                "The ledger could not write the photo to its disk, which may be full. The words were kept, the photo "
                "was not. Tell the keeper, and add it again later."
            ),
        ) from problem
    photo.save(force_insert=True)
    return photo
