"""The scale card and numbers in frame, looked for on a photo that comes in. Nothing here keeps it from being kept."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from ledger.finds.models import Photo
from ledger.measures.models import PhotoScale
from ledger.measures.queries import printed_line
from ledger.people.models import Member
from ledger.photos.decoding import ONE_AT_A_TIME
from ledger.photos.derivatives import upright_copy
from ledger.photos.errors import PhotoRefused
from ledger.photos.upright import upright_picture
from ledger.words import english_of, kept_of, later, together

if TYPE_CHECKING:
    from ledger.measuring.view import CardView

MOST_SAID = 600  # as the column takes
# Colours are looked at on a copy of a quarter of the size, which a JPEG decodes to at once; a grey patch of the smallest
# card that is found is ten pixels wide there.
_COLOURS_AT = 4
_NOT_READ = later("No scale was looked for: the photo could not be read whole.")


@dataclass(frozen=True, slots=True)
class Seen:
    """What a look at a photo told: kind and other columns of its PhotoScale, and the numbers on codes in frame."""

    kind: str
    numbers: tuple[str, ...] = ()
    columns: dict[str, Any] = field(default_factory=dict)


def look_at(data: bytes, sent_by: Member) -> Seen:
    """Look for the card and for numbers on a photo; `sent_by` has the card. Writes nothing; raises nothing about it."""
    with ONE_AT_A_TIME:
        return _looked_at(data, sent_by)


def _looked_at(data: bytes, sent_by: Member) -> Seen:
    # Imported where a photo comes in: it takes 50 MB that other processes of the ledger never need.
    import numpy as np

    from ledger.measuring.code_box import flat_code_box
    from ledger.measuring.detect import find_card
    from ledger.measuring.grey import white_balance
    from ledger.measuring.view import NoCard
    from ledger.photos.codes import numbers_in

    try:
        # In grey alone, which takes a JPEG half the time and a quarter of the memory.
        grey = np.asarray(upright_picture(data, "L"))
        view = find_card(grey)
        if isinstance(view, NoCard):
            return Seen(PhotoScale.Kind.NONE, numbers_in([grey]), _sentence(view.why))
        numbers = numbers_in([flat_code_box(grey, view), grey])
        high, wide = grey.shape
        del grey
        coloured = upright_copy(data, max(1, max(high, wide) // _COLOURS_AT))
    except PhotoRefused:
        return Seen(PhotoScale.Kind.NONE, columns=_sentence(_NOT_READ))
    gains = white_balance(np.asarray(coloured), view, scale=coloured.width / wide)
    view = as_remembered(view, sent_by)
    columns = card_columns(view) | {"grey_gains": list(gains) if gains else []}
    return Seen(PhotoScale.Kind.CARD, numbers, columns)


def as_remembered(view: "CardView", member: Member) -> "CardView":
    """The view by the 50 mm line that this member told of their cards of its kind, if any."""
    from ledger.measuring.card import CHECK_LINE_MM
    from ledger.measuring.reprint import reprinted, share_of_line

    told = printed_line(member, view.kind)
    if told is None:
        return view
    return reprinted(view, told.line_mm / CHECK_LINE_MM, u_printed=share_of_line(told.read_to_mm))


def card_columns(view: "CardView") -> dict[str, Any]:
    """A card as the columns of PhotoScale, but for its greys."""
    from ledger.measuring import scale_json
    from ledger.measuring.card import CHECK_LINE_MM

    return {
        **_sentence(together((view.summary, *view.sentences))),
        "view": scale_json.as_json(view),
        "tilt_deg": view.tilt_deg,
        "mm_per_px": view.mm_per_px,
        "u_mm_per_px": view.u_mm_per_px,
        "printed_line_mm": CHECK_LINE_MM * view.printed_mm_per_mm,
    }


def _sentence(said: str) -> dict[str, Any]:
    """A sentence as the columns that keep it."""
    return {"sentence": english_of(said)[:MOST_SAID], "said": kept_of(said)}


def keep_look(photo: Photo, seen: Seen, *, now: datetime) -> PhotoScale:
    """Keep what was seen, found or not. An earlier look ends; a ruler that a person pointed out stays."""
    earlier = PhotoScale.objects.filter(photo=photo, ended_at__isnull=True)
    earlier.exclude(kind=PhotoScale.Kind.RULER).update(ended_at=now)
    return PhotoScale.objects.create(photo=photo, kind=seen.kind, made_at=now, **seen.columns)
