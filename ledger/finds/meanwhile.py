"""What somebody else changed while a form was open: told field by field, and put into the form where it was untouched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.http import QueryDict

from ledger.finds.forms import FindForm
from ledger.finds.forms_readings import ReadingsForm
from ledger.finds.history import field_label
from ledger.finds.models import Change
from ledger.words import english_of


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """One field that somebody else changed while this form was open."""

    what: str
    by: str
    was: str
    now: str
    yours: str


def merged(
    data: QueryDict,
    mine: Mapping[str, str],
    changes: Sequence[Change],
    stored: FindForm,
    stored_readings: ReadingsForm,
) -> tuple[QueryDict, list[Meanwhile]]:
    """The form's data with their values where this member had touched nothing, and what to tell of each change.

    `mine` is what the form says, by field, as the history tells it.
    """
    data, told = data.copy(), []
    for change in {change.field: change for change in changes}.values():
        yours = mine.get(change.field, "")
        told.append(
            Meanwhile(
                field_label(change.field), change.by.full_name, change.old_shown, change.new_shown, yours
            )
        )
        if english_of(yours) == change.old:
            _take_stored(data, change.field, stored, stored_readings)
    return data, told


# Columns of a find that one box of the form holds together.
_BOX_OF = {
    "latitude": "position_typed",
    "longitude": "position_typed",
    "decay_scale": "decay",
    "decay_class": "decay",
    "name": "name_typed",
}


def box_of(field: str) -> str:
    """The box of the form that holds a field of the history; all boxes of a trait share a beginning. Empty: none."""
    if field.startswith("reading "):
        return f"r-{field.removeprefix('reading ')}-"
    if field == "collecting number":
        return "serial"
    box = _BOX_OF.get(field, field)
    return box if box in FindForm.base_fields else ""


def _take_stored(data: QueryDict, field: str, stored: FindForm, readings: ReadingsForm) -> None:
    """Put the stored value of one field into the form's data."""
    if field.startswith("reading "):
        code = field.removeprefix("reading ")
        row = readings.rows.get(code)
        for key in [key for key in data if key.startswith(f"r-{code}-")]:
            del data[key]
        if row is not None:
            data.setlist(f"r-{code}-values", row.values)
            data.setlist(f"r-{code}-states", sorted(row.states))
            for part in ("line", "instrument", "state", "age"):
                data[f"r-{code}-{part}"] = getattr(row, part)
            if row.looked:
                data[f"r-{code}-looked"] = row.looked
        return
    box = _BOX_OF.get(field, field)
    if box not in stored.fields:
        return
    value = stored[box].value()
    if box == "kept" and not value:
        data.pop("kept", None)
    else:
        data[box] = "" if value is None else str(getattr(value, "pk", value))
