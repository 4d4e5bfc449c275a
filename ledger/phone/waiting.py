"""Another version of a find that waits on a phone until its holder has chosen between the two: written down, and ended.

A phone may be lost. Then its version is let go by somebody, with a sentence that says why; should the phone come back, it
is answered as before, and waits again.
"""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from ledger.finds.history import record_change
from ledger.finds.models import Find
from ledger.moments import moment_text
from ledger.people.models import Member
from ledger.phone.models import WaitingVersion
from ledger.words import say

# Its line in the history.
LET_GO = "version let go"


@transaction.atomic
def note_waiting(find_id: UUID, *, by: Member, phone: UUID | None, now: datetime) -> None:
    """Write down that *by* was answered "changed". Asked again for the same version, the first time stands."""
    find = Find.objects.select_for_update().get(pk=find_id)
    if not find.waiting_versions.filter(by=by, phone=phone, ended_at__isnull=True).exists():
        WaitingVersion.objects.create(find=find, by=by, phone=phone, since=now)


def end_waiting(find: Find, *, by: Member, phone: UUID | None, now: datetime) -> None:
    """A version of that phone was taken: nothing waits there any more."""
    find.waiting_versions.filter(by=by, phone=phone, ended_at__isnull=True).update(ended_at=now)


class StaysWaiting(ValueError):
    """The version cannot be let go as asked; the text says what was kept and what to do."""


@transaction.atomic
def let_go(version: WaitingVersion, reason: str, *, by: Member, now: datetime | None = None) -> None:
    """Wait for that version no longer, on record. StaysWaiting without a reason; one that is ended already stays so."""
    now, reason = now or timezone.now(), " ".join(reason.split())
    if not reason:
        raise StaysWaiting(
            say(
                "Why it is let go is not said. The find still waits for it; "
                "say in a sentence what became of the phone."
            )
        )
    find = Find.objects.select_for_update().get(pk=version.find_id)
    if not find.waiting_versions.filter(pk=version.pk, ended_at__isnull=True).update(ended_at=now):
        return
    record_change(
        find,
        field=LET_GO,
        old=say("on {name}’s phone since {time}", name=version.by.full_name, time=moment_text(version.since)),
        new=reason,
        by=by,
        now=now,
    )
