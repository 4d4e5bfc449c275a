"""Take in one hostile file in a process of its own, look for the card, make all copies, and say how much memory that took.

    DJANGO_SETTINGS_MODULE=ledger.settings python -m tests.ledger.photos.hostile RGBA 8160 6144

Prints what came of it, and the highest resident memory in MB.
"""

import io
import struct
import sys
import zlib
from pathlib import Path

import django
from PIL import Image

from ledger.photos import derivatives
from ledger.photos.errors import PhotoRefused
from ledger.photos.intake import admit

# PNG: depth, colour type, bytes of a pixel.
KINDS = {
    "grey": (8, 0, 1),
    "RGB": (8, 2, 3),
    "RGBA": (8, 6, 4),
    "grey with transparency": (8, 4, 2),
    "16-bit grey": (16, 0, 2),
    "palette": (8, 3, 1),
}


def png(kind: str, width: int, height: int) -> bytes:
    """A PNG of zeros, made row by row so that making it takes no memory."""
    depth, colour, size = KINDS[kind]

    def chunk(name: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        )

    packer, row = zlib.compressobj(1), b"\0" + bytes(width * size)
    rows = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0))
    palette = chunk(b"PLTE", bytes(768)) + chunk(b"tRNS", bytes(256)) if kind == "palette" else b""
    return b"\x89PNG\r\n\x1a\n" + head + palette + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def turned_on_its_side(kind: str, width: int, height: int) -> bytes:
    """The same from Pillow, which says that it was taken with the camera on its side: progressive JPEG, or WebP."""
    exif = Image.Exif()
    exif[0x0112] = 6
    out = io.BytesIO()
    options = {"lossless": True, "method": 0} if kind == "WEBP" else {"progressive": True}
    Image.new("RGB", (width, height), "tan").save(out, kind, exif=exif, **options)
    return out.getvalue()


def highest_mb() -> float:
    """From the kernel's own book: getrusage begins with the memory of the process that started this one."""
    status = Path("/proc/self/status").read_text()
    return float(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def forget_the_highest() -> None:
    Path("/proc/self/clear_refs").write_text("5")


if __name__ == "__main__":
    django.setup()
    from ledger.measures.scales import look_at

    size = int(sys.argv[2]), int(sys.argv[3])
    made = (png if sys.argv[1] in KINDS else turned_on_its_side)(sys.argv[1], *size)
    forget_the_highest()
    try:
        said = admit(made).format
        look_at(made, None)
        for long_side in derivatives.LONG_SIDES_PX:
            derivatives.make(made, long_side)
    except PhotoRefused as refusal:
        said = refusal.reason
    sys.stdout.write(f"{said} {round(highest_mb())}\n")
