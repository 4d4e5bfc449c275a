"""The one writer of a find's history."""

from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from ledger.finds.entries import RECORD_FIELDS
from ledger.finds.models import Change, Find
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.words import english_of, later, say


def record_change(find: Find, *, field: str, old: object, new: object, by: Member, now: datetime) -> None:
    """Write one line of history: what was, what is, who and when. Missing is written as empty."""
    record_changes(find, {field: (old, new)}, by=by, now=now)


def record_changes(find: Find, changes: Mapping[str, tuple[Any, Any]], *, by: Member, now: datetime) -> None:
    """Write several lines at once: field to what was and what is."""
    Change.objects.bulk_create(
        Change(find=find, by=by, changed_at=now, field=field, old=as_text(old), new=as_text(new))
        for field, (old, new) in changes.items()
    )


# What else the history tells of.
_OTHER_FIELDS = {
    "accession number": later("Accession number"),
    "answer": later("Answer"),
    "clock of photos": later("Clock of photos"),
    "collecting number": later("Collecting number"),
    "date of the find": later("Date of the find"),
    "day of the first name": later("Day of the first name"),
    "deaccessioned": later("Deaccessioned"),
    "finder": later("Finder"),
    "flag settled": later("Flag settled"),
    "flags settled": later("Flags settled"),
    "logged": later("Logged"),
    "name": later("Name"),
    "photos": later("Photos"),
    "place opened": later("Place opened"),
    "question": later("Question"),
    "scale of a photo": later("Scale of a photo"),
    "settled": later("Settled"),
    "split": later("Split"),
    "taken back into the collection": later("Taken back into the collection"),
    "version let go": later("Version let go"),
    "whose find": later("Whose find"),
}


def as_text(value: object) -> str:
    """A stored value as the history shows it; nothing is an empty text, never 0."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    return english_of(value) if isinstance(value, str) else str(value)


def field_label(field: str) -> str:
    """What a field of the history is called on screens: `reading cap_width` is the trait's own label."""
    if field.startswith("reading "):
        trait = vocabulary().traits.get(field.removeprefix("reading "))
        return say(trait.label) if trait else field
    if field.startswith("view of photo "):
        return say("View of photo {photo}", photo=field.removeprefix("view of photo "))
    return say(RECORD_FIELDS.get(field) or _OTHER_FIELDS.get(field, field.capitalize()))
