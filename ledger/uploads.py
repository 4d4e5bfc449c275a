"""The door for files, while they arrive: what could not be kept is let by and never lies in memory or on the disk.

A file that is not taken reaches the view as a `LeftOut`, so that the form still comes back whole and says why.
"""

from io import BytesIO
from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler

from ledger.photos.decoding import KEPT, shown_name, too_big
from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import MOST_PER_FIND, too_many_for_a_find
from ledger.words import say


class LeftOut(UploadedFile):
    """A file that came and was not taken in: no byte of it is here. `refusal` says why."""

    def __init__(self, refusal: PhotoRefused, **about: Any) -> None:
        super().__init__(BytesIO(), **about)
        self.refusal = refusal


class PhotoDoor(TemporaryFileUploadHandler):
    """Keeps files on the disk until they have been looked at, but none that is no member's, larger than one photo may be,
    or more than one request may bring.
    """

    def __init__(self, request: Any = None) -> None:
        super().__init__(request)
        self.most_bytes = settings.PHOTO_LIMIT_MB * 1_000_000
        self.room = settings.PHOTOS_AT_ONCE_MB * 1_000_000
        self.files = 0
        self.refusal: PhotoRefused | None = None

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        self.files += 1
        self.refusal = None
        if not getattr(self.request, "session", {}).get(SESSION_KEY):
            self._leave_out(
                PhotoRefused("signed out", say("You are signed out. No photo was kept; sign in first."))
            )
        elif self.files > MOST_PER_FIND:
            self._leave_out(too_many_for_a_find())

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        many = start + len(raw_data)
        if self.refusal is None and many > self.most_bytes:
            self._leave_out(PhotoRefused("too big", ""))  # said in full once its size is known
        elif self.refusal is None and many > self.room:
            self._leave_out(_too_much_together(self.file_name or ""))
        if self.refusal is None:
            super().receive_data_chunk(raw_data, start)

    def file_complete(self, file_size: int) -> UploadedFile:
        refusal = self.refusal
        if refusal is None:
            self.room -= file_size
            return super().file_complete(file_size)  # type: ignore[no-any-return]
        if refusal.reason == "too big":
            refusal = too_big(shown_name(self.file_name or ""), file_size, self.most_bytes)
        return LeftOut(refusal, name=self.file_name, content_type=self.content_type, size=0)

    def _leave_out(self, refusal: PhotoRefused) -> None:
        """What of it was written is gone from the disk at once."""
        self.refusal = refusal
        self.file.close()


def _too_much_together(filename: str) -> PhotoRefused:
    return PhotoRefused(
        "too much at once",
        say(
            "{file} did not fit: {mb} MB of photos are taken at one time. {kept} Add it by itself.",
            file=shown_name(filename),
            mb=settings.PHOTOS_AT_ONCE_MB,
            kept=KEPT,
        ),
    )
