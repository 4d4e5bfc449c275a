"""The one writer of a find's history."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any

from ledger.finds.entries import RECORD_FIELDS, ReadingEntry, reading_text
from ledger.finds.models import Change, Find
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.words import Later, english_of, kept_of, later, say


def record_change(find: Find, *, field: str, old: object, new: object, by: Member, now: datetime) -> None:
    """Write one line of history: what was, what is, who and when. Missing is written as empty."""
    record_changes(find, {field: (old, new)}, by=by, now=now)


def record_changes(find: Find, changes: Mapping[str, tuple[Any, Any]], *, by: Member, now: datetime) -> None:
    """Write several lines at once: field to what was and what is."""
    Change.objects.bulk_create(
        _row(find, field, as_told(field, old), as_told(field, new), by, now)
        for field, (old, new) in changes.items()
    )


def _row(find: Find, field: str, old: str, new: str, by: Member, now: datetime) -> Change:
    said = {side: kept_of(text) for side, text in (("old", old), ("new", new)) if text and kept_of(text)}
    return Change(
        find=find, by=by, changed_at=now, field=field, old=english_of(old), new=english_of(new), said=said
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


# Fields whose values were chosen from a list, whose words are known in every language.
_CHOSEN = frozenset(
    {"kept", "keyed_at_table", "specimen_state", "specimen_age", "host_known_by", "wood_position"}
)


def as_told(field: str, value: object) -> str:
    """A value as the history shows it, in the reader's language where its words are ours; its English goes on record.

    Nothing is an empty text, never 0.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, str):
        return str(value)
    return say(value) if value and (field in _CHOSEN or isinstance(value, Later)) else value


def told_of_form(record: Mapping[str, Any], name: str, readings: Sequence[ReadingEntry]) -> dict[str, str]:
    """What a form says, by field of the history, as the history tells it."""
    traits = vocabulary().traits
    told = {field: as_told(field, value) for field, value in record.items()} | {"name": name}
    return told | {f"reading {one.trait}": reading_text(one, traits.get(one.trait)) for one in readings}


def field_label(field: str) -> str:
    """What a field of the history is called on screens: `reading cap_width` is the trait's own label."""
    if field.startswith("reading "):
        trait = vocabulary().traits.get(field.removeprefix("reading "))
        return say(trait.label) if trait else field
    if field.startswith("view of photo "):
        return say("View of photo {photo}", photo=field.removeprefix("view of photo "))
    return say(RECORD_FIELDS.get(field) or _OTHER_FIELDS.get(field, field.capitalize()))
