"""Reads of scales and measurements, named for what asks."""

import uuid
from collections.abc import Iterable

from django.db.models import QuerySet

from ledger.finds.models import Find, Photo
from ledger.measures.models import Measurement, PhotoScale, PrintedLine
from ledger.people.models import Member


def current_scale(photo: Photo) -> PhotoScale | None:
    """The scale that serves now: a ruler that a person pointed out, else the card."""
    scales = photo.scales.filter(ended_at__isnull=True).exclude(kind=PhotoScale.Kind.NONE)
    return scales.order_by("-made_at", "-id").first()


def found_card(photo: Photo) -> PhotoScale | None:
    """The card as it was found on the photo, whether it serves as its scale or a ruler does."""
    cards = photo.scales.filter(ended_at__isnull=True, kind=PhotoScale.Kind.CARD)
    return cards.order_by("-made_at", "-id").first()


def photos_with_scale(photos: Iterable[Photo]) -> frozenset[uuid.UUID]:
    """Which of them have a scale, by their identities; no query for none."""
    keys = [photo.pk for photo in photos]
    if not keys:
        return frozenset()
    scales = PhotoScale.objects.filter(photo__in=keys, ended_at__isnull=True).exclude(
        kind=PhotoScale.Kind.NONE
    )
    return frozenset(scales.order_by().values_list("photo", flat=True))


def looked_for(photo: Photo) -> PhotoScale | None:
    """What the last look for a card said, found or not."""
    return photo.scales.exclude(kind=PhotoScale.Kind.RULER).order_by("-made_at", "-id").first()


def measured(find: Find, trait: str) -> "QuerySet[Measurement]":
    """What holds of that trait on the photos of a find."""
    return Measurement.objects.filter(photo__find=find, trait=trait, withdrawn_at__isnull=True)


def of_photo(photo: Photo) -> "QuerySet[Measurement]":
    """What holds on one photo."""
    return photo.measurements.filter(withdrawn_at__isnull=True).select_related("taken_by", "scale", "reading")


def printed_line(member: Member, card: str) -> PrintedLine | None:
    """What this member told of the 50 mm line on their cards of that kind."""
    return PrintedLine.objects.filter(member=member, card=card, ended_at__isnull=True).first()
