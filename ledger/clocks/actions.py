"""The one writer of shifted clocks: a photo of a clock sets a whole set of photos right."""

from collections.abc import Collection
from datetime import UTC, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from ledger.finds.flagging import recheck
from ledger.finds.history import record_change
from ledger.finds.models import Find, Photo
from ledger.people.models import Member, Role
from ledger.photos.clock import said, shift_of
from ledger.words import say

# One outing: what the same camera took this long before and after the photo of the clock.
OUTING = timedelta(hours=36)


def same_set(photo: Photo, member: Member) -> "QuerySet[Photo]":
    """Photos of the same camera, sent by the same member, of the days around the photo of the clock; itself included.

    Only of finds that *member* may amend.
    """
    if photo.taken_at is None:
        return Photo.objects.none()
    own = Q() if member.at_least(Role.CURATOR) else Q(find__finder=member) | Q(find__logged_by=member)
    return (
        Photo.objects.filter(
            own,
            uploaded_by=photo.uploaded_by_id,
            camera=photo.camera,
            find__isnull=False,
            taken_at__range=(photo.taken_at - OUTING, photo.taken_at + OUTING),
        )
        .select_related("find")
        .order_by("taken_at", "pk")
    )


@transaction.atomic
def set_clock(
    photo: Photo, shown: datetime, photo_ids: Collection[UUID], *, by: Member, now: datetime | None = None
) -> tuple[timedelta, int]:
    """Shift the chosen photos of the set by what the photo of a clock shows. Returns the shift and how many there were.

    The time in each photo's metadata stays as it is. Photos of finds that the member may not amend are left out.
    Raises ClockRefused.
    """
    now = now or timezone.now()
    assert photo.taken_at is not None
    shift = shift_of(shown, photo.taken_at, came_at=photo.uploaded_at.astimezone(UTC))
    chosen = list(same_set(photo, by).filter(pk__in=photo_ids))
    for one in chosen:
        one.clock_shift_s = round(shift.total_seconds())
    Photo.objects.bulk_update(chosen, ["clock_shift_s"])
    # In one order everywhere, so that two who do this at once wait for each other and never lock each other out.
    for find in (
        Find.objects.select_for_update().filter(pk__in={one.find_id for one in chosen}).order_by("pk")
    ):
        many = sum(one.find_id == find.pk for one in chosen)
        record_change(
            find,
            field="clock of photos",
            old="",
            new=say("camera's clock {shift}: {n} shifted", shift=said(shift), n=many),
            by=by,
            now=now,
        )
        find.version += 1
        find.changed_at = now
        find.save(update_fields=["version", "changed_at"])
        recheck(find, now=now)
    return shift, len(chosen)
