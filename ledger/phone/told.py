"""What the phone is told of a find it sent: taken, or changed by somebody else meanwhile."""

from typing import Any

from ledger.finds.actions import FindChanged
from ledger.finds.history import field_label, told_of_form
from ledger.finds.meanwhile import box_of
from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.phone.own_finds import fields_of
from ledger.phone.payload import Message
from ledger.phone.receive import Taken, page_of
from ledger.phone.refusals import KEPT_ON_PHONE
from ledger.words import say


def taken(given: Taken) -> dict[str, Any]:
    """The answer to a find that is on the ledger. `digest` is of what was stored."""
    find = given.find
    return {
        "find": str(find.pk),
        "number": find.collecting_number,
        "version": given.version,
        "opened_at": given.opened_at.isoformat(),
        "digest": given.digest,
        "status": find.status,
        "flags": find.open_flags,
        "told": list(given.told),
        "photos": dict(given.photos),
    }


def changed_meanwhile(changed: FindChanged, message: Message, by: Member) -> dict[str, Any]:
    """Each field that somebody else changed: what it was, what it is now, and what this phone says."""
    find = Find.objects.for_form().get(pk=changed.find.pk)
    mine = _mine(message, find, by)
    latest: dict[str, Any] = {}
    for change in changed.changes:
        first = latest.get(change.field)
        latest[change.field] = (first[0] if first else change, change)
    by_you = changed.is_by(by)
    wrong = (
        say("You changed this find meanwhile, on another phone or page. Nothing was overwritten.")
        if by_you
        else say("Somebody else changed this find meanwhile. Nothing was overwritten.")
    )
    return {
        "why": "changed",
        "wrong": wrong,
        "by_you": by_you,
        "kept": str(KEPT_ON_PHONE),
        "do": say("Choose field by field which one stays."),
        "version": find.version,
        "opened_at": find.changed_at.isoformat(),
        "changed": [
            {
                "field": field,
                "label": field_label(field),
                "by": say("you") if change.by_id == by.pk else change.by.full_name,
                "was": first.old_shown,
                "now": change.new_shown,
                "yours": mine.get(field, ""),
                "box": box_of(field),
            }
            for field, (first, change) in latest.items()
            if box_of(field) and first.old != change.new
        ],
        "also": _also(changed, by),
        "fields": fields_of(find),
    }


def _also(changed: FindChanged, by: Member) -> list[str]:
    """What happened to the find and has no box in the form: settled, sent back, a photo more. One sentence each."""
    return [
        say(
            "{field} by {name}: {new}",
            field=field_label(change.field),
            name=change.by.full_name,
            new=change.new_shown or say("taken back"),
        )
        for change in changed.changes
        if not box_of(change.field) and change.field != "logged" and change.by_id != by.pk
    ]


def _mine(message: Message, find: Find, by: Member) -> dict[str, str]:
    """What the phone says, by field, as the history tells it."""
    page = page_of(message, by, find)
    page.is_valid()
    record = page.form.record if page.form.is_valid() else {}
    return told_of_form(record, page.form.name.typed, page.readings.entries)
