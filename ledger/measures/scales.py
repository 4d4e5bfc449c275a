"""The scale card looked for on a photo that comes in. Nothing here ever keeps a photo from being kept."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from ledger.finds.models import Photo
from ledger.measures.models import PhotoScale
from ledger.photos.errors import PhotoRefused

_NOT_READ = "No scale was looked for: the photo could not be read whole."


@dataclass(frozen=True, slots=True)
class Seen:
    """What a look for the card told: the columns of PhotoScale."""

    kind: str
    sentence: str
    columns: dict[str, Any] = field(default_factory=dict)


def look_for_card(data: bytes) -> Seen:
    """Look for the card on the bytes of a photo. Writes nothing, and raises nothing about the photo."""
    # Imported where a photo comes in: it takes 50 MB that other processes of the ledger never need.
    import numpy as np

    from ledger.measuring import scale_json
    from ledger.measuring.detect import find_card
    from ledger.measuring.grey import white_balance
    from ledger.measuring.view import NoCard
    from ledger.photos.upright import upright_picture

    try:
        picture = upright_picture(data, "RGB")
    except PhotoRefused:
        return Seen(PhotoScale.Kind.NONE, _NOT_READ)
    view = find_card(np.asarray(picture.convert("L")))
    if isinstance(view, NoCard):
        return Seen(PhotoScale.Kind.NONE, view.why)
    gains = white_balance(np.asarray(picture), view)
    columns = {
        "view": scale_json.as_json(view),
        "tilt_deg": view.tilt_deg,
        "mm_per_px": view.mm_per_px,
        "u_mm_per_px": view.u_mm_per_px,
        "grey_gains": list(gains) if gains else [],
        "printed_line_mm": 50.0 * view.printed_mm_per_mm,
    }
    return Seen(PhotoScale.Kind.CARD, " ".join((view.summary, *view.sentences)), columns)


def keep_look(photo: Photo, seen: Seen, *, now: datetime) -> PhotoScale:
    """Keep what was seen, found or not. An earlier look ends; a ruler that a person pointed out stays."""
    earlier = PhotoScale.objects.filter(photo=photo, ended_at__isnull=True)
    earlier.exclude(kind=PhotoScale.Kind.RULER).update(ended_at=now)
    return PhotoScale.objects.create(
        photo=photo, kind=seen.kind, sentence=seen.sentence[:600], made_at=now, **seen.columns
    )
