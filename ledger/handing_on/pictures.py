"""Copies of photographs for an export: upright, of modest size, without a word of metadata."""

from collections.abc import Iterator
from hashlib import sha256
from io import BytesIO
from uuid import UUID

from PIL import Image

from ledger.exchange.media import PhotoOut
from ledger.exchange.zip_stream import ZipStream
from ledger.finds.models import Photo
from ledger.photo_copies import copy_of
from ledger.photos.clean_jpeg import is_clean
from ledger.photos.errors import PhotoRefused
from ledger.photos.view_table import view_words

LONG_SIDE_PX = 1600  # as on a page; a copy for the screen has been made of most of them
FOLDER = "media"
_AT_ONCE = 100


def copied(photo: Photo, long_side: int = LONG_SIDE_PX) -> bytes:
    """The bytes that may go out. Raises PhotoRefused, FileNotFoundError, OSError.

    A JPEG that is clean and small already goes out as it is, so that a copy of a copy is the same.
    """
    if photo.format == "jpeg" and max(photo.width, photo.height) <= long_side:
        with photo.original.open() as file:
            data: bytes = file.read()
        if is_clean(data):
            return data
    return copy_of(photo.original, photo.sha256, long_side).read_bytes()


class PackedPhotos:
    """Photos of an archive: each is copied when its find is written, and packed behind the tables."""

    def __init__(self, zipped: ZipStream) -> None:
        self.zip = zipped
        self._keys: list[UUID] = []

    def copied(self, photo: Photo, by: str, taken: str) -> PhotoOut | None:
        """What is told of the photo, by whom and when it was taken; None where no copy can be made of it."""
        try:
            data = copied(photo)
        except (PhotoRefused, OSError):
            return None
        self._keys.append(photo.pk)
        with Image.open(BytesIO(data)) as picture:
            width, height = picture.size
        return PhotoOut(
            id=str(photo.pk),
            view=photo.view,
            caption=view_words(photo.view),
            taken=taken,
            by=by,
            path=_path(photo),
            sha256=sha256(data).hexdigest(),
            width=width,
            height=height,
        )

    def follow(self) -> Iterator[bytes]:
        for start in range(0, len(self._keys), _AT_ONCE):
            rows = Photo.objects.in_bulk(self._keys[start : start + _AT_ONCE])
            for key in self._keys[start : start + _AT_ONCE]:
                yield self.zip.whole(_path(rows[key]), copied(rows[key]), store=True)


def _path(photo: Photo) -> str:
    return f"{FOLDER}/{photo.pk}.jpeg"
