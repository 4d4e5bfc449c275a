"""Whose find it is, put right after it was keyed. The number stays: it stands on the packet."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from ledger.finds.actions import FindRefused
from ledger.finds.history import record_changes
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.search import keeping
from ledger.words import say

# Its line in the history, by which a phone's older word on the finder is known to be out of date.
CORRECTED = "whose find"


@transaction.atomic
def change_finder(
    find_id: UUID, *, finder: Member, found_by: str, by: Member, version: int, now: datetime
) -> Find:
    """Give a find another finder, or the name of a guest. FindRefused where it was changed since the form was opened."""
    find = Find.objects.select_for_update().select_related("finder").get(pk=find_id)
    if find.version != version:
        raise FindRefused(
            say(
                "{find} was changed by somebody else while this page was open. Its finder was left as it was "
                "and your choice is kept below; look at the find, then decide again.",
                find=find,
            )
        )
    changes = {}
    if finder.pk != find.finder_id:
        changes[CORRECTED] = (find.finder.full_name, finder.full_name)
        find.finder = finder
    if found_by != find.found_by:
        changes["found_by"] = (find.found_by, found_by)
        find.found_by = found_by
    if changes:
        find.version, find.changed_at = find.version + 1, now
        find.save(update_fields=["finder", "found_by", "version", "changed_at"])
        record_changes(find, changes, by=by, now=now)
        keeping.keep(find)
    return find
