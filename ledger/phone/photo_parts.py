"""A photo from a phone, part by part: what arrived stays, so that a cut costs one part and not the photo.

Parts lie in a file of their own until the photo is whole; then its SHA-256 decides whether it is the photo that was
announced. Everything is on the disk before it is answered for, since the phone deletes its own copy on that word.
"""

import fcntl
import hashlib
import os
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from ledger.finds import access, awaited, photo_actions
from ledger.finds.flagging import recheck
from ledger.finds.models import Find, Photo
from ledger.people.models import Member
from ledger.photos.intake import too_many_for_a_find
from ledger.words import say

MOST_IN_ONE_PART = 512 * 1024
# Photos of one member that may be half here at a time, and how long a half one is kept.
MOST_HALVES = 24
KEPT_S = 30 * 24 * 3600


class NoFindYet(LookupError):
    """The find of this photo is not on the ledger, or not the member's to add to: it must come first."""


class OtherPlace(ValueError):
    """The part does not begin where the ones before it end; `have` bytes are here."""

    def __init__(self, have: int) -> None:
        super().__init__(f"{have} bytes are here")
        self.have = have


class BytesDiffer(ValueError):
    """The whole photo is not the one that was announced. What had arrived was thrown away."""


class CutShort(ValueError):
    """Nothing of the part arrived: a page that was left while it was sending cuts it off. It is sent again."""


class TooMuch(ValueError):
    """The part or the photo is beyond measure; the text says which."""


class TooLarge(TooMuch):
    """The photo as a whole is beyond what this ledger takes."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How much of a photo is here: `have` bytes; `photo` once it is whole and with its find."""

    have: int
    photo: Photo | None = None


def standing_of(sha256: str, *, find_id: uuid.UUID, by: Member) -> Standing:
    """What of the photo the ledger has. NoFindYet where its find is not here."""
    find = _find(find_id, by)
    whole = _whole(find, sha256)
    if whole is not None:
        return Standing(whole.byte_size, whole)
    path = _path(sha256, find_id, by)
    return Standing(path.stat().st_size if path.exists() else 0)


def take_part(
    part: bytes, *, sha256: str, find_id: uuid.UUID, size: int, offset: int, view: str, by: Member
) -> Standing:
    """Add one part. The last one makes it a photo of the find, and the find is checked again.

    NoFindYet, OtherPlace, CutShort, TooMuch, BytesDiffer, or photos' own PhotoRefused; in all but the last two the parts
    stay. An empty part is right where all bytes are here and only the last step is lacking.
    """
    find = _find(find_id, by)
    whole = _whole(find, sha256)
    if whole is not None:
        return Standing(whole.byte_size, whole)
    try:
        _measured(part, size)
    except TooLarge:
        _write_down_refused(find, sha256)
        raise
    path = _path(sha256, find_id, by)
    if not path.exists() and not photo_actions.room_left(find):
        # Said before its first part, not after its last.
        raise too_many_for_a_find()
    with _locked(path) as file:
        have = file.seek(0, os.SEEK_END)
        if offset != have:
            raise OtherPlace(have)
        if not part and have < size:
            raise CutShort(f"{have} bytes are here")
        if have + len(part) > size:
            raise TooMuch(
                say("The part goes beyond the end of the photo. Nothing of it was kept; send it again.")
            )
        file.write(part)
        file.flush()
        os.fsync(file.fileno())
        have += len(part)
        if have < size:
            return Standing(have)
        photo = _finished(file, find, sha256, view, by)
        Path(file.name).unlink(missing_ok=True)
        return Standing(size, photo)


def sweep(folder: Path) -> None:
    """Make room before another half begins: the phones have the whole, so what is lost is time.

    Of anybody's halves those that nobody went on with for a month go, and of this member's the oldest beyond their room:
    a phone that was lost must not stand in the way of the next one.
    """
    old = time.time() - KEPT_S
    for path in folder.parent.glob("*/*"):
        if _touched(path) < old:
            path.unlink(missing_ok=True)
    mine = sorted(folder.glob("*"), key=_touched)
    for path in mine[: max(0, len(mine) - MOST_HALVES + 1)]:
        path.unlink(missing_ok=True)


def _touched(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # finished meanwhile
        return time.time()


def _finished(file: BinaryIO, find: Find, sha256: str, view: str, by: Member) -> Photo:
    file.seek(0)
    if hashlib.file_digest(file, "sha256").hexdigest() != sha256:
        Path(file.name).unlink(missing_ok=True)
        raise BytesDiffer
    file.seek(0)
    try:
        with transaction.atomic():
            photo = photo_actions.add_photo(
                UploadedFile(file, name=sha256[:8]),
                draft_id=find.pk,
                by=by,
                view=view,
                find=find,
                is_nameless=True,  # what it is called stands on the phone
            )
            recheck(Find.objects.select_for_update().get(pk=find.pk))
    except photo_actions.PhotoRefused as refusal:
        Path(file.name).unlink(missing_ok=True)
        if refusal.is_for_good:
            _write_down_refused(find, sha256)
        raise
    return photo


@transaction.atomic
def _write_down_refused(find: Find, sha256: str) -> None:
    """Nobody waits for it any more, and what it was to show is missing."""
    locked = Find.objects.select_for_update().get(pk=find.pk)
    awaited.refuse(locked, sha256, timezone.now())
    recheck(locked)


def _measured(part: bytes, size: int) -> None:
    if len(part) > MOST_IN_ONE_PART:
        raise TooMuch(
            say("A part holds {most} bytes at most. Nothing of it was kept.", most=f"{MOST_IN_ONE_PART:,}")
        )
    if not 0 < size <= settings.PHOTO_LIMIT_MB * 1_000_000:
        raise TooLarge(
            say(
                "The photo is larger than {mb} MB, the most this ledger takes. It stays on the phone; "
                "make it smaller there and choose it again.",
                mb=settings.PHOTO_LIMIT_MB,
            )
        )


def _find(find_id: uuid.UUID, by: Member) -> Find:
    find = Find.objects.filter(pk=find_id).first()
    if find is None or not access.may_amend(find, by):
        raise NoFindYet
    return find


def _whole(find: Find, sha256: str) -> Photo | None:
    return Photo.objects.filter(find=find, sha256=sha256).first()


def _folder(by: Member) -> Path:
    return Path(settings.VAR) / "incoming" / str(by.pk)


def _path(sha256: str, find_id: uuid.UUID, by: Member) -> Path:
    return _folder(by) / f"{sha256}.{find_id}"


@contextmanager
def _locked(path: Path) -> Iterator[BinaryIO]:
    """The file of a half photo, for this request alone: a part sent twice at one moment is added once."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not path.exists():
        sweep(path.parent)
    with path.open("a+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        if os.fstat(file.fileno()).st_nlink == 0:
            # Whoever held it before finished it, or threw it away.
            raise OtherPlace(0)
        yield file
