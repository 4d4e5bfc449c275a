"""A ruler in frame as the scale of a photo, held against the card where there is one; and the way back to the card."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ledger.finds.history import record_change
from ledger.finds.models import Photo
from ledger.measures.models import PhotoScale
from ledger.measures.queries import current_scale, found_card
from ledger.measures.taking import CannotMeasure
from ledger.measuring import scale_json
from ledger.measuring.ruler import AgainstCard, RulerView, against_card, from_two_points
from ledger.measuring.view import CardView
from ledger.people.models import Member
from ledger.photos.upright import upright_size
from ledger.words import english_of, kept_of, lowered, say, together

# A ruler in frame shows between these lengths, mm.
RULER_MM = (1.0, 1000.0)


def ruler_view(photo: Photo, points: Sequence[Sequence[float]], mm: float) -> RulerView:
    """The scale from two points on a ruler in frame, `mm` apart; writes nothing. Raises CannotMeasure."""
    if not RULER_MM[0] <= mm <= RULER_MM[1]:
        raise CannotMeasure(
            say(
                "{mm} mm between two lines of a ruler cannot be; say {least} to {most}.",
                mm=f"{mm:g}",
                least=f"{RULER_MM[0]:g}",
                most=f"{RULER_MM[1]:g}",
            )
        )
    size = upright_size(photo.width, photo.height, photo.orientation)
    try:
        return from_two_points(points[0], points[1], mm, size_px=size)
    except ValueError as why:
        raise CannotMeasure(str(why)) from None


def held_against_card(photo: Photo, ruler: RulerView) -> AgainstCard | None:
    """What the card found on the photo says of that ruler; None where none was found."""
    scale = found_card(photo)
    if scale is None:
        return None
    card = scale_json.from_json(scale.view)
    assert isinstance(card, CardView)  # what the kind of the row says
    return against_card(ruler, card)


def name_ruler(
    photo: Photo,
    points: Sequence[Sequence[float]],
    mm: float,
    *,
    by: Member,
    is_sure: bool = False,
    now: datetime | None = None,
) -> PhotoScale:
    """Take the scale from two points on a ruler in frame, `mm` apart. A card that was found stays, and serves no more.

    Where ruler and card differ, only by somebody who `is_sure`. Raises CannotMeasure.
    """
    view = ruler_view(photo, points, mm)
    against = held_against_card(photo, view)
    if against is not None and against.differs and not is_sure:
        raise CannotMeasure(together((against.sentence, say("Nothing was changed."))))
    now = now or timezone.now()
    with transaction.atomic():
        before = current_scale(photo)
        _end_rulers(photo, now)
        scale = PhotoScale.objects.create(
            photo=photo,
            kind=PhotoScale.Kind.RULER,
            sentence=english_of(together(view.sentences)),
            said=kept_of(together(view.sentences)),
            view=scale_json.as_json(view),
            mm_per_px=view.mm_per_px,
            u_mm_per_px=view.u_mm_per_px,
            made_by=by,
            made_at=now,
        )
        _on_record(photo, before, scale, by, now)
    return scale


@transaction.atomic
def go_by_card(photo: Photo, *, by: Member, now: datetime | None = None) -> None:
    """The card that was found is the scale again; rulers end, and stay on record with what was measured by them.

    Raises CannotMeasure where no card was found.
    """
    card = found_card(photo)
    if card is None:
        raise CannotMeasure(say("No scale card was found on this photo. The scale stays as it is."))
    now, before = now or timezone.now(), current_scale(photo)
    _end_rulers(photo, now)
    if before is not None and before.pk != card.pk:
        _on_record(photo, before, card, by, now)


def _on_record(photo: Photo, before: PhotoScale | None, scale: PhotoScale, by: Member, now: datetime) -> None:
    """Whatever is measured on the photo from now on rests on another scale: the find's history says whose."""
    record_change(photo.find, field="scale of a photo", old=_said(before), new=_said(scale), by=by, now=now)


def _said(scale: PhotoScale | None) -> str:
    if scale is None:
        return say("none")
    kind = lowered(scale.get_kind_display())
    return say("{scale}, {mm} mm per pixel", scale=kind, mm=f"{scale.mm_per_px:.3g}")


def _end_rulers(photo: Photo, now: datetime) -> None:
    # Two at one moment: the second waits for the first.
    Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    photo.scales.filter(ended_at__isnull=True, kind=PhotoScale.Kind.RULER).update(ended_at=now)
