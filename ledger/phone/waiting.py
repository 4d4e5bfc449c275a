"""Another version of a find that waits on a phone until its holder has chosen between the two: written down, and ended."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.models import WaitingVersion


@transaction.atomic
def note_waiting(find_id: UUID, *, by: Member, phone: UUID | None, now: datetime) -> None:
    """Write down that *by* was answered "changed". Asked again for the same version, the first time stands."""
    find = Find.objects.select_for_update().get(pk=find_id)
    if not find.waiting_versions.filter(by=by, phone=phone, ended_at__isnull=True).exists():
        WaitingVersion.objects.create(find=find, by=by, phone=phone, since=now)


def end_waiting(find: Find, *, by: Member, phone: UUID | None, now: datetime) -> None:
    """A version of that phone was taken: nothing waits there any more."""
    find.waiting_versions.filter(by=by, phone=phone, ended_at__isnull=True).update(ended_at=now)
