"""The one writer of a find's history."""

from datetime import datetime

from ledger.finds.models import Change, Find
from ledger.people.models import Member


def record_change(find: Find, *, field: str, old: object, new: object, by: Member, now: datetime) -> None:
    """Write one line of history: what was, what is, who and when. Missing is written as empty."""
    Change.objects.create(find=find, field=field, old=as_text(old), new=as_text(new), by=by, changed_at=now)


def as_text(value: object) -> str:
    return "" if value is None else str(value)
