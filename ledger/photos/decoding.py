"""Opening bytes that a stranger sent, so that nothing but ``PhotoRefused`` ever comes out.

Pillow and libheif raise nearly every built-in error on damaged input (OSError, SyntaxError, struct.error,
ZeroDivisionError, AssertionError, ...), and only warn about pictures of 89 to 179 million pixels. Both are
turned into one kind of refusal here, and nowhere else.
"""

import threading
import unicodedata
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO

import pi_heif
from PIL import Image

from ledger.photos.errors import PhotoRefused
from ledger.photos.jpeg_scans import held_bytes_per_pixel
from ledger.words import Said, later, say

pi_heif.register_heif_opener()

MAX_PIXELS = 52_000_000
"""Largest picture decoded, in pixels: 208 MB with transparency. Phones' usual modes stay below 51 million."""

MOST_HELD_BYTES = 160_000_000
"""Most that a JPEG in several scans may have held in memory beside its pixels: the largest picture with usual colours."""

MOST_PIXELS_OF_WEBP, MOST_TRANSPARENT_PIXELS = 20_000_000, 40_000_000
"""Largest pictures of kinds that no camera makes: a WebP lies in memory three times over while it is decoded, and one with
transparency once more while it is laid on paper (measured)."""

FORMATS = {"JPEG": "jpeg", "MPO": "jpeg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}
"""Pillow's name to ours. MPO is a JPEG with a second picture behind it, as some phones write."""

OPENED = ("JPEG", "PNG", "WEBP", "HEIF")

KEPT = later("It was not kept; the find and its other photos stay as they are.")

# First bytes of files that people send by mistake (common practice, no source).
_MISTAKEN = (
    (b"GIF8", later("a GIF")),
    (b"%PDF", later("a PDF")),
    (b"BM", later("a BMP picture")),
    (b"II*\x00", later("a TIFF or a raw camera file")),
    (b"MM\x00*", later("a TIFF or a raw camera file")),
    (b"PK\x03\x04", later("a zip archive or an office document")),
    (b"<", later("a web page or a drawing in text")),
)

# One photo of a worker at a time: its threads would hold several large pictures at once. And catch_warnings swaps a list
# that all threads share; the lock keeps our own from restoring it crosswise.
ONE_AT_A_TIME = threading.RLock()


@contextmanager
def quiet_decoders() -> Iterator[None]:
    """Silence the decoders' remarks on bad metadata, but make the decompression-bomb warning an error."""
    with ONE_AT_A_TIME, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        yield


@contextmanager
def opened(data: bytes, filename: str, max_pixels: int = MAX_PIXELS) -> Iterator[Image.Image]:
    """Yield the picture in ``data``, header read and size checked, pixels not yet decoded.

    Whatever goes wrong inside the block is taken for damage of the file, so do nothing in it but decode.
    Raises PhotoRefused.
    """
    name = shown_name(filename)
    if not data:
        raise PhotoRefused(
            "empty",
            say("{file} is empty (0 bytes). {kept} Take or choose the photo again.", file=name, kept=KEPT),
        )
    with quiet_decoders():
        try:
            picture = Image.open(BytesIO(data), formats=OPENED)
        except (Image.DecompressionBombError, Image.DecompressionBombWarning):
            raise too_many_pixels(name, None, max_pixels) from None
        except Exception:
            # A decoder on hostile bytes: see the module's docstring for why nothing narrower is enough.
            raise _not_a_photo(name, data) from None
        with picture:
            most = _most_pixels(picture, data, max_pixels)
            if picture.width * picture.height > most:
                raise too_many_pixels(name, picture.size, most)
            try:
                yield picture
            except PhotoRefused:
                raise
            except Exception:
                raise _damaged(name, picture.size) from None


def shown_name(filename: str) -> Said:
    """``filename`` in quotation marks, fit for a sentence: no controls, no folders, at most 60 characters."""
    last = filename.replace("\\", "/").rsplit("/", 1)[-1]
    plain = "".join(c for c in last if unicodedata.category(c)[0] != "C").strip()
    if len(plain) > 60:
        plain = plain[:40] + "…" + plain[-19:]
    return say("“{name}”", name=plain) if plain else say("The file")


def _most_pixels(picture: Image.Image, data: bytes, max_pixels: int) -> int:
    """Fewer for files that take more memory for each pixel than others do."""
    kind = FORMATS[picture.format or ""]
    if kind == "webp":
        return min(max_pixels, MOST_PIXELS_OF_WEBP)
    if picture.mode in ("RGBA", "LA", "PA"):
        return min(max_pixels, MOST_TRANSPARENT_PIXELS)
    held = held_bytes_per_pixel(data) if kind == "jpeg" else 0.0
    return min(max_pixels, int(MOST_HELD_BYTES / held)) if held else max_pixels


def too_many_pixels(name: str, size: tuple[int, int] | None, max_pixels: int) -> PhotoRefused:
    """The refusal of a decompression bomb; ``size`` is None where the decoder itself stopped at the header."""
    if size is None:
        return PhotoRefused(
            "too many pixels",
            say(
                "{file} claims more pixels than any camera here makes; at most {most} million of this kind are read. "
                "{kept} Send a smaller copy, or set the camera to fewer megapixels.",
                file=name,
                most=f"{max_pixels / 1e6:.3g}",
                kept=KEPT,
            ),
        )
    return PhotoRefused(
        "too many pixels",
        say(
            "{file} claims {width} × {height} pixels; at most {most} million of this kind are read. {kept} "
            "Send a smaller copy, or set the camera to fewer megapixels.",
            file=name,
            width=size[0],
            height=size[1],
            most=f"{max_pixels / 1e6:.3g}",
            kept=KEPT,
        ),
    )


def too_big(name: str, size_bytes: int, max_bytes: int) -> PhotoRefused:
    """The refusal of a file over the limit of bytes."""
    return PhotoRefused(
        "too big",
        say(
            "{file} has {mb} MB; at most {most} MB are taken. {kept} Send a smaller copy as JPEG.",
            file=name,
            mb=f"{size_bytes / 1e6:.1f}",
            most=f"{max_bytes / 1e6:g}",
            kept=KEPT,
        ),
    )


def _not_a_photo(name: str, data: bytes) -> PhotoRefused:
    guess = _guess(data)
    if guess is None:
        sentence = say(
            "{file} is no photo that can be read here. {kept} Send it as JPEG, PNG, WebP or HEIC.",
            file=name,
            kept=KEPT,
        )
    else:
        sentence = say(
            "{file} is no photo that can be read here: {guess}. {kept} Send it as JPEG, PNG, WebP or HEIC.",
            file=name,
            guess=guess,
            kept=KEPT,
        )
    return PhotoRefused("not a photo", sentence)


def _damaged(name: str, size: tuple[int, int]) -> PhotoRefused:
    return PhotoRefused(
        "damaged",
        say(
            "{file} is damaged or was cut short: its {width} × {height} pixels cannot all be read. {kept} "
            "Send the photo again, from the phone or camera that took it.",
            file=name,
            width=size[0],
            height=size[1],
            kept=KEPT,
        ),
    )


def _guess(data: bytes) -> Said | None:
    if data[4:8] == b"ftyp":
        brand = data[8:12].decode("ascii", "replace").strip()
        what: str = say("an AVIF picture") if brand == "avif" else say("a film or another container")
        return say("it begins like {what}", what=what)
    for start, what in _MISTAKEN:
        if data.startswith(start):
            return say("it begins like {what}", what=what)
    if data.startswith((b"\xff\xd8", b"\x89PNG", b"RIFF")):
        return say("it begins like one, but its header is broken")
    return None
