"""Reads of this room's pages."""

from collections.abc import Sequence

from django.db.models import QuerySet

from ledger.bench.models import Determination
from ledger.finds.models import Find
from ledger.handing_on.models import AgreedName, Handing
from ledger.people.models import Member

SHOWN = 20
MOST_NAMES = 200


def newest() -> QuerySet[Handing]:
    return Handing.objects.select_related("asked_by")[:SHOWN]


def agreed() -> QuerySet[AgreedName]:
    return AgreedName.objects.filter(ended_at__isnull=True).select_related("noted_by")


def not_asked() -> Sequence[str]:
    """Guests and determiners outside the club of whom nothing is noted, as they are written beside the finds."""
    known = AgreedName.objects.filter(ended_at__isnull=True).values("name")
    # Behind the empty ones in their index, not "not empty": that would read every find.
    guests = Find.objects.filter(found_by__gt="").exclude(found_by__in=known)
    others = Determination.objects.filter(determiner_name__gt="").exclude(determiner_name__in=known)
    names = {*guests.order_by().values_list("found_by", flat=True).distinct()[:MOST_NAMES]}
    names |= {*others.order_by().values_list("determiner_name", flat=True).distinct()[:MOST_NAMES]}
    return sorted(names)[:MOST_NAMES]


def members_by_word() -> tuple[list[Member], list[Member]]:
    """Members whose name goes out, and those whose code alone does."""
    members = list(Member.objects.order_by("full_name").only("full_name", "collector_code", "named_outside"))
    return [one for one in members if one.named_outside], [one for one in members if not one.named_outside]
