"""Small words of the log form and the find's page. They format what they are given and decide nothing."""

from collections.abc import Mapping
from typing import Any

from django import template

from ledger.days import short_time_text
from ledger.finds.checkup import Checkup, TraitLine
from ledger.finds.forms_readings import TraitRow
from ledger.finds.models import Photo
from ledger.photos import view_table
from ledger.places.text import metres_text
from ledger.words import later, say

register = template.Library()

_EFFORTS = {
    "eye": later("by eye"),
    "lens": later("lens"),
    "ruler": later("ruler"),
    "knife": later("knife"),
    "drop": "KOH",
    "microscope": later("microscope"),
}


@register.filter
def view_words(code: str) -> str:
    return say(view_table.view_words(code))


@register.filter
def effort_word(effort: str) -> str:
    return _EFFORTS.get(effort, effort)


@register.filter
def is_colour(code: str) -> bool:
    """Whether a trait's states are colours: their chips show a dab beside the word."""
    return code.endswith(("_colour", "_print"))


@register.filter
def line_of(row: TraitRow, checkup: Checkup) -> TraitLine | None:
    return checkup.lines.get(row.trait.code)


@register.filter
def at(mapping: Mapping[str, Any], key: str) -> Any:
    return mapping.get(key)


@register.filter
def photo_says(photo: Photo) -> str:
    """What the photo's metadata say of time and place, in one short line; empty where they say nothing."""
    said = [short_time_text(photo.taken_at)] if photo.taken_at else []
    if photo.latitude is not None:
        said.append(say("place") + (f" ± {metres_text(photo.error_m)}" if photo.error_m else ""))
    return " · ".join(said)
