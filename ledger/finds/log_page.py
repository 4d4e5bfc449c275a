"""Everything the log form shows, made from nothing, from a stored find, or from what a browser sent."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils import timezone
from django.utils.datastructures import MultiValueDict

from ledger.club.queries import the_club
from ledger.finds import actions, assess, naming, photo_actions, tables
from ledger.finds.checkup import Checkup, check_up
from ledger.finds.entries import RECORD_FIELDS, FindEntry
from ledger.finds.forms import BASES, FindForm, initial_of
from ledger.finds.forms_readings import ReadingsForm, TraitRow
from ledger.finds.history import as_text
from ledger.finds.models import Find, Photo
from ledger.finds.place_words import place_words
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.photos.errors import PhotoRefused
from ledger.taxa.queries import current_reference, vocabulary
from ledger.traits.readings import AGES, SPECIMEN_STATES, Specimen

# The order hands do things. What is not named here stands under "More readings", group by group.
IN_HAND = ("underside", "flexibility", "pore_surface_colour", "margin_colour", "cap_surface", "zonation")
MEASURES = ("cap_width", "cap_length", "pores_per_mm")
WOOD = ("host", "substrate_state")
WOOD_MORE = ("rot",)
DATUMS = ("WGS84", "ETRS89", "NAD83", "NAD27", "OSGB36")
SHOTS = (
    ("cap", "Cap", "from above"),
    ("underside", "Underside", "square on"),
    ("", "More photos", "side, cut, place, scale"),
)


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """One field that somebody else changed while this form was open."""

    what: str
    by: str
    was: str
    now: str
    yours: str


class LogPage:
    """The log form and all that stands around it. `context` is what the templates are given."""

    def __init__(
        self, member: Member, form: FindForm, readings: ReadingsForm, find: Find | None = None
    ) -> None:
        self.member, self.form, self.readings, self.find = member, form, readings, find
        self.troubles: list[str] = []
        self.meanwhile: list[Meanwhile] = []
        self.data: QueryDict | None = None

    @classmethod
    def blank(cls, member: Member) -> "LogPage":
        today = timezone.localdate(timezone=ZoneInfo(the_club().time_zone))
        forays = list(Foray.objects.filter(held_on=today)[:2])
        initial = {
            "find_id": uuid.uuid4(),
            "found_on": today,
            "kept": True,
            # A foray of today is most likely the one; with two there is nothing to guess.
            "foray": forays[0] if len(forays) == 1 else None,
        }
        return cls(member, FindForm(initial=initial), ReadingsForm(vocabulary()))

    @classmethod
    def of(cls, member: Member, find: Find) -> "LogPage":
        readings = [row for row in find.readings.all() if row.ended_at is None]
        return cls(
            member, FindForm(initial=initial_of(find)), ReadingsForm(vocabulary(), None, readings), find
        )

    @classmethod
    def filled(
        cls,
        member: Member,
        data: QueryDict,
        files: "MultiValueDict[str, UploadedFile] | None" = None,
        find: Find | None = None,
    ) -> "LogPage":
        """A form as it was sent. Its photos are kept at once, so that nothing that follows can lose them."""
        page_id = find.pk if find else _uuid(data.get("find_id", ""))
        refused = _keep_photos(member, page_id, files) if files else []
        data = _with_what_was_pressed(data, member, page_id)
        page = cls(member, FindForm(data), ReadingsForm(vocabulary(), data), find)
        page.data, page.page_id = data, page_id
        page.troubles = refused
        return page

    page_id: uuid.UUID | None = None

    @property
    def wants_keeping(self) -> bool:
        return self.data is not None and self.data.get("do") == "keep"

    def is_valid(self) -> bool:
        """Whether this can be stored. What cannot is listed, in the order of the page."""
        self.troubles += list(self.readings.errors.values())
        for name, problems in self.form.errors.items():
            label = RECORD_FIELDS.get(name, _LABELS.get(name, name.replace("_", " ")))
            self.troubles += [f"{label}: {problem}" for problem in problems]
        return not self.troubles

    def add_trouble(self, sentence: str) -> None:
        self.troubles.append(sentence)

    @property
    def find_id(self) -> uuid.UUID:
        return self.form.cleaned_data["find_id"]  # type: ignore[no-any-return]

    @property
    def version(self) -> int:
        return self.form.cleaned_data["version"] or 0

    @property
    def opened_at(self) -> datetime | None:
        return self.form.cleaned_data["opened_at"]  # type: ignore[no-any-return]

    @property
    def entry(self) -> FindEntry:
        assert self.data is not None
        prefix = "photo-view-"
        views = {k.removeprefix(prefix): v for k, v in self.data.items() if k.startswith(prefix)}
        return FindEntry(
            record=self.form.record,
            readings=self.readings.entries,
            name=self.form.name,
            serial=self.form.cleaned_data["serial"],
            photo_views=views,
        )

    def beside(self, changed: actions.FindChanged) -> "LogPage":
        """The form again, with what somebody else changed beside it.

        A field this member had not touched takes their value; one that both changed keeps what was typed here.
        Saving again is then a decision taken with both values in sight.
        """
        assert self.data is not None
        data = self.data.copy()
        find = Find.objects.for_page().get(pk=changed.find.pk)
        stored = LogPage.of(self.member, find)
        mine = {**{k: as_text(v) for k, v in self.form.record.items()}, "name": self.form.name.typed}
        mine |= {f"reading {entry.trait}": entry.text for entry in self.readings.entries}
        theirs = {change.field: change for change in changed.changes}
        meanwhile = []
        for name, change in theirs.items():
            yours = mine.get(name, "")
            meanwhile.append(Meanwhile(_what(name), change.by.full_name, change.old, change.new, yours))
            if yours == change.old:
                _take_stored(data, name, stored)
        data["version"], data["opened_at"] = str(find.version), find.changed_at.isoformat()
        page = LogPage.filled(self.member, data, find=find)
        page.meanwhile = meanwhile
        page.troubles = [
            f"{find.collecting_number} was changed by somebody else while this form was open. Nothing was written "
            "and what you typed is still here. Compare below, then keep the find again."
        ]
        return page

    # --- what the templates are given ---

    def checkup(self) -> Checkup:
        form = self.form
        if form.is_bound:
            form.is_valid()
            given = form.cleaned_data
            named = form.named
        else:
            given, named = form.initial, naming.read(form.initial.get("name_typed", ""))
        entries = self.readings.entries if form.is_bound else _stored_entries(self.find)
        taken = Find(
            specimen_state=given.get("specimen_state") or "",
            specimen_age=given.get("specimen_age") or "",
            found_on=given.get("found_on"),
        )
        specimen: Specimen = assess.specimen_of(taken, entries, named.taxon)
        return check_up(current_reference(), specimen)

    @property
    def photos(self) -> list[Photo]:
        known = list(self.find.photos.all()) if self.find else []
        page_id = self.page_id or (self.find.pk if self.find else None)
        return known + (actions.waiting_photos(page_id, self.member) if page_id else [])

    def _rows(self, codes: Sequence[str]) -> list[TraitRow]:
        return [self.readings.rows[code] for code in codes if code in self.readings.rows]

    @property
    def more_rows(self) -> Mapping[str, list[TraitRow]]:
        shown = {*IN_HAND, *MEASURES, *WOOD, *WOOD_MORE}
        groups: dict[str, list[TraitRow]] = {}
        for row in self.readings:
            if row.trait.code not in shown:
                groups.setdefault(row.trait.group, []).append(row)
        return groups

    @property
    def context(self) -> dict[str, Any]:
        checkup = self.checkup()
        named = (
            self.form.named if self.form.is_bound else naming.read(self.form.initial.get("name_typed", ""))
        )
        return {
            "page": self,
            "form": self.form,
            "find": self.find,
            "in_hand": self._rows(IN_HAND),
            "measures": self._rows(MEASURES),
            "wood": self._rows(WOOD),
            "wood_more": self._rows(WOOD_MORE),
            "more_rows": self.more_rows,
            "all_rows": list(self.readings),
            "checkup": checkup,
            "named": named,
            "photos": self.photos,
            "states_of_specimen": SPECIMEN_STATES,
            "ages_of_specimen": AGES,
            **place_words(self.form.place),
            "shots": SHOTS,
            "views": photo_actions.VIEWS,
            "decay_scales": tables.decay_scales().values(),
            "known_names": current_reference().taxa,
            "host_names": tables.host_genera(),
            "datums": DATUMS,
            "bases": BASES,
            "next_number": None if self.find else f"{self.member.collector_code} {self.member.next_serial}",
        }


_LABELS = {"name_typed": "Name", "serial": "Collecting number", "decay": "Decay class", "find_id": "The form"}


def _what(field: str) -> str:
    if field.startswith("reading "):
        trait = vocabulary().traits.get(field.removeprefix("reading "))
        return trait.label if trait else field
    return RECORD_FIELDS.get(field, field.capitalize())


def _uuid(text: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(text)
    except ValueError:
        return None


def _keep_photos(
    member: Member, draft_id: uuid.UUID | None, files: "MultiValueDict[str, UploadedFile]"
) -> list[str]:
    """Keep every photo that came with the form; one sentence for each that cannot be kept."""
    refused = []
    for field in files:
        view = field.removeprefix("photo-") if field.startswith("photo-") else ""
        for upload in files.getlist(field) if draft_id else ():
            try:
                photo_actions.add_photo(upload, draft_id=draft_id, by=member, view=view)
            except PhotoRefused as refusal:
                refused.append(str(refusal))
    return refused


def _with_what_was_pressed(data: QueryDict, member: Member, draft_id: uuid.UUID | None) -> QueryDict:
    """What the buttons inside the form do where no script runs: take a name, take a photo's place, remove a photo."""
    data = data.copy()
    if data.get("take_name"):
        data["name_typed"] = data["take_name"]
    waiting = (
        {str(photo.pk): photo for photo in actions.waiting_photos(draft_id, member)}
        if (draft_id and (data.get("remove_photo") or data.get("use_photo")))
        else {}
    )
    gone = waiting.get(data.get("remove_photo", ""))
    if gone is not None:
        photo_actions.remove_waiting(gone)
    used = waiting.get(data.get("use_photo", ""))
    if used is not None:
        for name, value in photo_actions.fills(used).items():
            data[name] = value
    return data


def _stored_entries(find: Find | None) -> list[Any]:
    return [row for row in find.readings.all() if row.ended_at is None] if find else []


# Columns of a find that one box of the form holds together.
_BOX_OF = {
    "latitude": "position_typed",
    "longitude": "position_typed",
    "decay_scale": "decay",
    "decay_class": "decay",
    "name": "name_typed",
}


def _take_stored(data: QueryDict, field: str, stored: "LogPage") -> None:
    """Put the stored value of one field into the form's data."""
    if field.startswith("reading "):
        code = field.removeprefix("reading ")
        row = stored.readings.rows.get(code)
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
    if box not in stored.form.fields:
        return
    value = stored.form[box].value()
    if box == "kept" and not value:
        data.pop("kept", None)
    else:
        data[box] = "" if value is None else str(getattr(value, "pk", value))
