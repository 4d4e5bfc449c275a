"""The door for photos: what is let in, as what, and what is refused with which sentence."""

import hashlib
from dataclasses import dataclass
from pathlib import PurePath

from PIL import Image

from ledger.photos.decoding import FORMATS, MAX_PIXELS, opened, shown_name, too_big
from ledger.photos.errors import PhotoRefused
from ledger.photos.exif import PhotoFacts, facts_of
from ledger.words import say

_EXTENSIONS = {
    "jpeg": (".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"),
    "png": (".png", ".apng"),
    "webp": (".webp",),
    "heic": (".heic", ".heif", ".hif"),
}
_NAMES = {"jpeg": "JPEG", "png": "PNG", "webp": "WebP", "heic": "HEIC"}

MOST_PER_FIND = 24
"""Photos of one find: every view three times over (our own judgement). The phone has the same, see log/photos.js."""

SMALLEST_USEFUL_SIDE_PX = 200
"""Below this a photo is admitted, because the finder may have no other, but noted (our own judgement)."""


@dataclass(frozen=True, slots=True)
class PhotoLimits:
    """Largest file in bytes and largest picture in pixels that are taken."""

    max_bytes: int = 40_000_000
    max_pixels: int = MAX_PIXELS


@dataclass(frozen=True, slots=True)
class AdmittedPhoto:
    """A photo that decodes to its last pixel. ``width`` and ``height`` are stored pixels, see ``PhotoFacts``.

    ``format`` is jpeg, png, webp or heic, by content and not by name; ``notes`` are sentences on what is odd about
    the file, while ``facts.warnings`` are those about its metadata.
    """

    sha256: str
    format: str
    width: int
    height: int
    facts: PhotoFacts
    notes: tuple[str, ...] = ()


def admit(data: bytes, limits: PhotoLimits | None = None, filename: str = "") -> AdmittedPhoto:
    """Check one uploaded file and read it. Raises PhotoRefused with the sentence for the member.

    The whole picture is decoded once: a truncated file passes every check of its header.
    """
    limits = limits or PhotoLimits()
    if len(data) > limits.max_bytes:
        raise too_big(shown_name(filename), len(data), limits.max_bytes)
    with opened(data, filename, limits.max_pixels) as picture:
        width, height = picture.size
        facts = facts_of(data, picture)
        notes = _notes(picture, filename)
        # An eighth of the size costs half the time and still reads a JPEG to its end; other formats ignore it.
        picture.draft(None, (max(1, width // 8), max(1, height // 8)))
        picture.load()
    return AdmittedPhoto(
        sha256=hashlib.sha256(data).hexdigest(),
        format=facts.format or "",
        width=width,
        height=height,
        facts=facts,
        notes=notes,
    )


def too_many_for_a_find() -> PhotoRefused:
    """The refusal of one photo more than a find holds."""
    return PhotoRefused(
        "too many",
        say(
            "A find holds {most} photos at most. Those sent before were kept; remove one to make room for this.",
            most=MOST_PER_FIND,
        ),
    )


def _notes(picture: Image.Image, filename: str) -> tuple[str, ...]:
    notes = []
    kind = FORMATS[picture.format or ""]
    extension = PurePath(filename).suffix.lower()
    if extension and extension not in _EXTENSIONS[kind]:
        notes.append(
            say(
                "{file} is named {extension} but holds a {kind}; it was taken as that.",
                file=shown_name(filename),
                extension=extension,
                kind=_NAMES[kind],
            )
        )
    frames = getattr(picture, "n_frames", 1)
    if frames > 1 and picture.format != "MPO":
        notes.append(
            say(
                "The file holds {n} pictures; only its main picture is shown, the original is kept whole.",
                n=frames,
            )
            if kind == "heic"
            else say(
                "The file holds {n} pictures; only the first is shown, the original is kept whole.", n=frames
            )
        )
    if picture.mode == "CMYK":
        notes.append(
            say("The photo is in printing colours (CMYK); the copy for the screen may differ in colour.")
        )
    if picture.mode.startswith(("I", "F")):
        notes.append(say("The photo has 16 bits of grey; the copy for the screen has 8."))
    if min(picture.size) < SMALLEST_USEFUL_SIDE_PX:
        notes.append(
            say(
                "The photo has only {width} × {height} pixels; hardly anything can be seen on it.",
                width=picture.width,
                height=picture.height,
            )
        )
    return tuple(notes)
