"""The one writer of a find's history."""

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from ledger.days import day_again
from ledger.finds.entries import RECORD_FIELDS
from ledger.finds.models import Change, Find
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary
from ledger.traits.units import with_unit
from ledger.traits.vocabulary import Trait
from ledger.words import english_of, later, lowered, say


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


# Fields whose values were chosen from a list, whose words are known in every language.
_CHOSEN = frozenset(
    {"kept", "keyed_at_table", "specimen_state", "specimen_age", "host_known_by", "wood_position"}
)
# What a line may say beside them, by its English words: marked here, said where it is shown.
_PLAIN = {said.english: said for said in (later("yes"), later("no"), later("from photos"))}
_SPREAD = re.compile(r"(?P<ends>.+), mean (?P<mean>[\d.]+) \(n = (?P<n>\d+)\)(?P<rest>.*)")
_BY_PHONE = re.compile(
    r"(?P<number>.*), by phone, kept (?P<day>\d+ \w+ \d{4}), (?P<kept>[\d:]+)(?:, sent (?P<sent>[\d:]+))?"
)
_PER_MM = re.compile(r"(?P<number>[\d.–]+) per mm(?P<rest>.*)")


def value_shown(field: str, text: str) -> str:
    """A value of the history in the reader's language, as far as its words are known; numbers and free words as they are."""
    if not text:
        return text
    if field in ("flag settled", "flags settled"):
        return _flags_shown(text)
    if field == "logged" and (found := _BY_PHONE.fullmatch(text)):
        values = found.groupdict() | {"day": day_again(found["day"])}
        if found["sent"]:
            return say("{number}, by phone, kept {day}, {kept}, sent {sent}", **values)
        return say("{number}, by phone, kept {day}, {kept}", **values)
    if field == "photos" and (added := re.fullmatch(r"(\d+) added", text)):
        return say("{n} added", n=int(added[1]))
    if field.startswith("reading "):
        return _reading_shown(text, vocabulary().traits.get(field.removeprefix("reading ")))
    return say(_PLAIN.get(text, text)) if field in _CHOSEN else text


def _flags_shown(text: str) -> str:
    """ "2: Trait outside: cap width; A book dissents" as `settle` of the bench writes it."""
    many = re.match(r"\d+: ", text)
    before = many[0] if many else ""
    labels = {trait.label.lower(): trait.label for trait in vocabulary().traits.values()}
    told = []
    for name in text.removeprefix(before).split("; "):
        kind, _, about = name.partition(": ")
        told.append(f"{say(kind)}: {lowered(labels.get(about, about))}" if about else f"{say(kind)}")
    return before + "; ".join(told)


def _reading_shown(text: str, trait: Trait | None) -> str:
    """What `entries.reading_text` wrote on record."""
    if spread := _SPREAD.fullmatch(text):
        ends = _piece_shown(spread["ends"], {})
        rest = _reading_shown(spread["rest"], trait)
        return say("{ends}, mean {mean} (n = {n})", ends=ends, mean=spread["mean"], n=spread["n"]) + rest
    states = {state.code: state.label for state in trait.states} if trait else {}
    return ", ".join(_piece_shown(piece, states) for piece in text.split(", "))


def _piece_shown(piece: str, states: Mapping[str, str]) -> str:
    if piece in states:
        word = lowered(states[piece])
        return piece if word == word.english else word
    if counted := _PER_MM.fullmatch(piece):
        return with_unit(counted["number"], "1/mm") + counted["rest"]
    return say(_PLAIN.get(piece, piece)) if piece else piece
