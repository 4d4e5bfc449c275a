"""The only writers of what a card's 50 mm line measured on paper: for a member's cards from now on, and for one photo."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from ledger.finds.models import Photo
from ledger.measures.models import PhotoScale, PrintedLine
from ledger.measures.queries import current_scale
from ledger.measures.scales import card_columns
from ledger.measures.taking import CannotMeasure
from ledger.measuring import scale_json
from ledger.measuring.card import CHECK_LINE_MM
from ledger.measuring.reprint import reprinted, share_of_line
from ledger.measuring.view import CardView
from ledger.people.models import Member
from ledger.words import later, say

_NO_CARD = later(
    "No scale card serves as the scale of this photo, so there is no line to correct. Nothing was changed."
)


@transaction.atomic
def tell_line(
    member: Member, card: str, line_mm: float, read_to_mm: float, *, now: datetime | None = None
) -> PrintedLine:
    """Photos of this member's that come from now on, with a card of that kind, are measured by this line."""
    now = now or timezone.now()
    # Two at one moment: the second waits for the first, and ends it.
    Member.objects.select_for_update().get(pk=member.pk)
    _end(member, card, now)
    return PrintedLine.objects.create(
        member=member, card=card, line_mm=line_mm, read_to_mm=read_to_mm, told_at=now
    )


@transaction.atomic
def take_line_back(member: Member, card: str, *, now: datetime | None = None) -> bool:
    """The member's cards count as printed at their size again. Photos that are here keep theirs. True if it was told."""
    Member.objects.select_for_update().get(pk=member.pk)
    return _end(member, card, now or timezone.now()) > 0


def _end(member: Member, card: str, now: datetime) -> int:
    return PrintedLine.objects.filter(member=member, card=card, ended_at__isnull=True).update(ended_at=now)


@transaction.atomic
def correct_scale(
    photo: Photo, line_mm: float, read_to_mm: float, *, by: Member, now: datetime | None = None
) -> PhotoScale:
    """Give the photo a new scale from its card by that line; the scale before and what was measured by it stay.

    Whoever sent the photo has the card: told by them, their next photos are measured by it as well. Raises CannotMeasure.
    """
    now = now or timezone.now()
    scale = _rescaled(photo, line_mm, share_of_line(read_to_mm), by=by, now=now)
    if by.pk == photo.uploaded_by_id:
        tell_line(by, scale.view["kind"], line_mm, read_to_mm, now=now)
    return scale


@transaction.atomic
def uncorrect_scale(photo: Photo, *, by: Member, now: datetime | None = None) -> PhotoScale:
    """Give the photo the scale of a card that was printed at its size; told by its sender, for the next ones as well."""
    now = now or timezone.now()
    scale = _rescaled(photo, CHECK_LINE_MM, None, by=by, now=now)
    if by.pk == photo.uploaded_by_id:
        take_line_back(by, scale.view["kind"], now=now)
    return scale


def _rescaled(
    photo: Photo, line_mm: float, u_printed: float | None, *, by: Member, now: datetime
) -> PhotoScale:
    photo = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    before = current_scale(photo)
    if before is None or before.kind != PhotoScale.Kind.CARD:
        raise CannotMeasure(say(_NO_CARD))
    view = scale_json.from_json(before.view)
    assert isinstance(view, CardView)  # what the kind of the row says
    printed = line_mm / CHECK_LINE_MM
    made = reprinted(view, printed) if u_printed is None else reprinted(view, printed, u_printed=u_printed)
    before.ended_at = now
    before.save(update_fields=["ended_at"])
    return PhotoScale.objects.create(
        photo=photo,
        kind=PhotoScale.Kind.CARD,
        made_by=by,
        made_at=now,
        grey_gains=before.grey_gains,
        **card_columns(made),
    )
