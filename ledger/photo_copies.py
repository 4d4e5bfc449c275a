"""Copies of originals for the screen, kept on the disk and made when first asked for."""

import uuid
from pathlib import Path

from django.conf import settings
from django.db.models.fields.files import FieldFile

from ledger.photos import derivatives


def copy_of(original: FieldFile, sha256: str, long_side: int) -> Path:
    """The copy on the disk, without metadata, its longer side that many pixels. PhotoRefused: none can be made.

    Named by the original's digest, so it can never be stale.
    """
    path = Path(settings.VAR) / "derived" / sha256[:2] / f"{sha256}-{long_side}.jpeg"
    if not path.exists():
        with original.open() as file:
            made = derivatives.make(file.read(), long_side)
        path.parent.mkdir(parents=True, exist_ok=True)
        # Written beside and moved: another process never reads half a picture.
        half = path.with_name(f"{path.name}.{uuid.uuid4().hex}")
        half.write_bytes(made)
        half.replace(path)
    return path
