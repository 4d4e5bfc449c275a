"""A member's own finds as their phone keeps them: enough to read them, and to amend them, without a signal."""

import hashlib
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Prefetch

from ledger.finds.forms import FindForm, initial_of
from ledger.finds.forms_readings import ReadingsForm
from ledger.finds.models import Find, Photo, Reading
from ledger.people.models import Member
from ledger.taxa.queries import vocabulary

MOST = 200
# What the boxes of a form hold of a reading.
_READ_OF_READINGS = (
    *(
        "find_id",
        "trait",
        "looked",
        "values",
        "low",
        "high",
        "n",
        "unit",
        "resolution",
        "states",
        "state",
        "age",
    ),
    "ended_at",
)
_NO_BOX = frozenset({"find_id"})


def stamp_of(member: Member) -> str:
    """A short text that changes with any of the finds that the member's phone keeps."""
    known = _newest(member)
    photos = Photo.objects.filter(find__in=[pk for _, pk, *_ in known]).count()
    said = [(pk.hex, changed_at.isoformat(), flags) for _, pk, changed_at, flags in known]
    return hashlib.sha256(repr((said, photos)).encode()).hexdigest()[:16]


def own_finds(member: Member) -> list[dict[str, Any]]:
    """The newest of them, with the boxes of the form as they would stand in it."""
    finds = (
        Find.objects.filter(pk__in=[pk for _, pk, *_ in _newest(member)])
        .select_related("current_determination__taxon", "foray")
        .prefetch_related(Prefetch("readings", Reading.objects.only(*_READ_OF_READINGS)), "photos")
        .order_by("-logged_at")
    )
    return [_told(find) for find in finds]


def fields_of(find: Find) -> list[list[str]]:
    """The boxes of its form that are filled, as a browser would send them: pairs of name and value.

    No form is made for it: two hundred finds would cost as many copies of all its boxes.
    """
    made: list[list[str]] = []
    initial = initial_of(find)
    for name in FindForm.base_fields:
        value = initial.get(name)
        if name in _NO_BOX or value in (None, "", False):
            continue
        made.append([name, _text(value)])
    for row in ReadingsForm(vocabulary(), None, [one for one in find.readings.all() if one.ended_at is None]):
        made += [[f"{row.name}-values", value] for value in row.values]
        made += [[f"{row.name}-states", state] for state in sorted(row.states)]
        parts = {"line": row.line, "instrument": row.instrument, "looked": row.looked}
        parts |= {"state": row.state, "age": row.age}
        made += [[f"{row.name}-{part}", value] for part, value in parts.items() if value]
    return made


def _newest(member: Member) -> list[tuple[datetime, UUID, datetime, int]]:
    """When it was logged, identity, last change and open flags of the newest, each as found or as keyed by the member.

    Asked for by two indexes: an "or" of the two would read every find they ever had.
    """
    columns = ("logged_at", "pk", "changed_at", "open_flags")
    found: set[tuple[datetime, UUID, datetime, int]] = set()
    for own in (Find.objects.filter(finder=member), Find.objects.filter(logged_by=member)):
        found.update(own.order_by("-logged_at").values_list(*columns)[:MOST])
    return sorted(found, reverse=True)[:MOST]


def _told(find: Find) -> dict[str, Any]:
    determined = find.current_determination
    return {
        "id": str(find.pk),
        "number": find.collecting_number,
        "status": find.status,
        "name": determined.name_typed if determined else "",
        "found_on": find.found_on.isoformat() if find.found_on else None,
        "version": find.version,
        "changed_at": find.changed_at.isoformat(),
        "fields": fields_of(find),
        "photos": [{"sha256": photo.sha256, "view": photo.view} for photo in find.photos.all()],
        "flags": find.open_flags,
    }


def _text(value: Any) -> str:
    """As a box of a form holds it: a tick is "on", a row its key, a day and a time in figures."""
    if value is True:
        return "on"
    if hasattr(value, "strftime") and not hasattr(value, "year"):
        return f"{value:%H:%M}"
    return str(getattr(value, "pk", value))
