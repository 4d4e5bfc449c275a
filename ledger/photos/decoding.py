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

KEPT = "It was not kept; the find and its other photos stay as they are."

# First bytes of files that people send by mistake (common practice, no source).
_MISTAKEN = (
    (b"GIF8", "a GIF"),
    (b"%PDF", "a PDF"),
    (b"BM", "a BMP picture"),
    (b"II*\x00", "a TIFF or a raw camera file"),
    (b"MM\x00*", "a TIFF or a raw camera file"),
    (b"PK\x03\x04", "a zip archive or an office document"),
    (b"<", "a web page or a drawing in text"),
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
        raise PhotoRefused("empty", f"{name} is empty (0 bytes). {KEPT} Take or choose the photo again.")
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


def shown_name(filename: str) -> str:
    """``filename`` in quotation marks, fit for a sentence: no controls, no folders, at most 60 characters."""
    last = filename.replace("\\", "/").rsplit("/", 1)[-1]
    plain = "".join(c for c in last if unicodedata.category(c)[0] != "C").strip()
    if len(plain) > 60:
        plain = plain[:40] + "…" + plain[-19:]
    return f"“{plain}”" if plain else "The file"


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
    what = f"claims {size[0]} × {size[1]} pixels" if size else "claims more pixels than any camera here makes"
    return PhotoRefused(
        "too many pixels",
        f"{name} {what}; at most {max_pixels / 1e6:.3g} million of this kind are read. {KEPT} "
        "Send a smaller copy, or set the camera to fewer megapixels.",
    )


def too_big(name: str, size_bytes: int, max_bytes: int) -> PhotoRefused:
    """The refusal of a file over the limit of bytes."""
    return PhotoRefused(
        "too big",
        f"{name} has {size_bytes / 1e6:.1f} MB; at most {max_bytes / 1e6:g} MB are taken. {KEPT} "
        "Send a smaller copy as JPEG.",
    )


def _not_a_photo(name: str, data: bytes) -> PhotoRefused:
    return PhotoRefused(
        "not a photo",
        f"{name} is no photo that can be read here{_guess(data)}. {KEPT} Send it as JPEG, PNG, WebP or HEIC.",
    )


def _damaged(name: str, size: tuple[int, int]) -> PhotoRefused:
    return PhotoRefused(
        "damaged",
        f"{name} is damaged or was cut short: its {size[0]} × {size[1]} pixels cannot all be read. {KEPT} "
        "Send the photo again, from the phone or camera that took it.",
    )


def _guess(data: bytes) -> str:
    if data[4:8] == b"ftyp":
        brand = data[8:12].decode("ascii", "replace").strip()
        return ": it begins like " + ("an AVIF picture" if brand == "avif" else "a film or another container")
    for start, what in _MISTAKEN:
        if data.startswith(start):
            return f": it begins like {what}"
    if data.startswith((b"\xff\xd8", b"\x89PNG", b"RIFF")):
        return ": it begins like one, but its header is broken"
    return ""
