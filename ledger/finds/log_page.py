"""Everything the log form shows, made from nothing, from a stored find, or from what a browser sent."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils import timezone
from django.utils.datastructures import MultiValueDict

from ledger.club.queries import the_club
from ledger.finds import actions, assess, meanwhile, naming, photo_actions, tables
from ledger.finds.bar_line import bar_line
from ledger.finds.checkup import Checkup, check_up, has_dried
from ledger.finds.entries import RECORD_FIELDS, FindEntry
from ledger.finds.forms import BASES, FindForm, initial_of
from ledger.finds.forms_readings import ReadingsForm, TraitRow
from ledger.finds.from_slip import Slip
from ledger.finds.history import told_of_form
from ledger.finds.models import Find, Photo
from ledger.finds.place_words import place_words
from ledger.finds.views_left import views_say
from ledger.forays.models import Foray
from ledger.measures.queries import photos_with_scale
from ledger.people.models import Member
from ledger.phone import numbers
from ledger.photos.errors import PhotoRefused
from ledger.photos.view_table import VIEWS
from ledger.taxa.queries import current_reference, vocabulary
from ledger.traits.readings import AGES, SPECIMEN_STATES, Specimen
from ledger.traits.reference import Reference
from ledger.words import later, say

DATUMS = ("WGS84", "ETRS89", "NAD83", "NAD27", "OSGB36")
# Offered beside the box: a phone under open sky, under trees, a place pointed at on a map (common practice, no source).
OFF_BY_M = (5, 20, 100)
SHOTS = (
    ("cap", later("Cap"), later("from above")),
    ("underside", later("Underside"), later("square on")),
    ("", later("More photos"), later("side, cut, place, scale")),
)


# The form asks in the order hands do things, as the table of traits has it, and what is asked first is the short form:
# two photos, these traits, the wood, the place. With the specimen's state and Keep that is 13 touches of one thumb
# (counted by tests/browser/test_reach.py). Chosen are those that part most taxa for a look and are lost first. What else
# drying destroys follows in sight; everything after it is under "More readings", group by group.
_ASKED_FIRST = frozenset({"underside", "flexibility", "pore_surface_colour", "cap_width", "pores_per_mm"})
_OF_THE_WOOD = "substrate"


def in_hand() -> tuple[str, ...]:
    """The traits of the short form that are seen, felt and measured on the fruit body."""
    return tuple(code for code in _of_the_fruit_body() if code in _ASKED_FIRST)


def fresh() -> tuple[str, ...]:
    """What else drying destroys."""
    return tuple(code for code in _of_the_fruit_body() if code not in _ASKED_FIRST)


def wood(*, short: bool) -> tuple[str, ...]:
    """What is asked of the wood: in the short form, or on demand."""
    traits = vocabulary().traits.values()
    return tuple(trait.code for trait in traits if trait.group == _OF_THE_WOOD and trait.short_form == short)


def _of_the_fruit_body() -> list[str]:
    traits = vocabulary().traits.values()
    return [trait.code for trait in traits if trait.short_form and trait.group != _OF_THE_WOOD]


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that cannot be stored, and the id of the element where it is put right."""

    sentence: str
    anchor: str = ""


class LogPage:
    """The log form and all that stands around it. `context` is what the templates are given."""

    def __init__(
        self, member: Member | None, form: FindForm, readings: ReadingsForm, find: Find | None = None
    ) -> None:
        self.member, self.form, self.readings, self.find = member, form, readings, find
        self.troubles: list[Trouble] = []
        self.meanwhile: list[meanwhile.Meanwhile] = []
        self.changed_by = ""
        self.data: QueryDict | None = None

    @classmethod
    def blank(
        cls, member: Member, draft_id: uuid.UUID | None = None, *, slip: Slip | None = None
    ) -> "LogPage":
        """An empty form. With the identity of an unfinished one, its photos that wait here stand in it.

        From a paper slip it has the slip's number, and neither day nor foray: what is typed up was found before. Who named
        it stands on the slip, and is most likely its finder, not who types it up.
        """
        today = _today()
        forays = list(Foray.objects.filter(held_on=today)[:2])
        initial = {
            "find_id": draft_id or uuid.uuid4(),
            "found_on": today,
            "kept": True,
            # A foray of today is most likely the one; with two there is nothing to guess.
            "foray": forays[0] if len(forays) == 1 else None,
        }
        if slip is not None:
            initial |= {"found_on": None, "foray": None, "serial": slip.serial}
            initial["determiner_name"] = "" if slip.finder == member else slip.finder.full_name
        page = cls(member, FindForm(initial=initial), ReadingsForm(vocabulary()))
        page.page_id, page.slip = draft_id, slip
        return page

    @classmethod
    def for_everybody(cls) -> "LogPage":
        """An empty form that says nothing of a member, a day, a foray or a find: the one a phone keeps."""
        form = FindForm(initial={"kept": True})
        form.fields["foray"].queryset = Foray.objects.none()
        return cls(None, form, ReadingsForm(vocabulary()))

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
        page.troubles = [Trouble(sentence, "photos") for sentence in refused]
        return page

    page_id: uuid.UUID | None = None
    slip: Slip | None = None
    # Photos that are still on the phone and come after the find.
    announced: int = 0

    @property
    def wants_keeping(self) -> bool:
        return self.data is not None and self.data.get("do") == "keep"

    def is_valid(self) -> bool:
        """Whether this can be stored. What cannot is listed, in the order of the page."""
        self.troubles += [Trouble(problem, f"row-{code}") for code, problem in self.readings.errors.items()]
        for name, problems in self.form.errors.items():
            label = _LABELS.get(name, RECORD_FIELDS.get(name, name.replace("_", " ")))
            self.troubles += [Trouble(f"{label}: {problem}", f"id_{name}") for problem in problems]
        if not self.troubles and self.is_empty:
            self.troubles.append(
                Trouble(
                    say("Nothing is entered yet: no photo, no reading, no place, no name, no words."),
                    "part-photos",
                )
            )
        return not self.troubles

    @cached_property
    def is_empty(self) -> bool:
        """A form sent as it was opened. It is no find, and takes no collecting number."""
        if self.find is not None or not self.form.is_bound or not self.form.is_valid():
            return False
        record, name = self.form.record, self.form.name
        entered = [value for column, value in record.items() if column not in _THERE_BEFOREHAND]
        entered += [self.form.cleaned_data["serial"], name.typed, name.determiner_name, name.basis]
        if any(value not in (None, "") for value in entered) or self.readings.entries:
            return False
        return not self.photos and not self.announced

    def add_trouble(self, sentence: str) -> None:
        self.troubles.append(Trouble(sentence))

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
        find = Find.objects.for_form().get(pk=changed.find.pk)
        stored = LogPage.of(self.member, find)
        mine = told_of_form(self.form.record, self.form.name.typed, self.readings.entries)
        data, told = meanwhile.merged(self.data, mine, changed.changes, stored.form, stored.readings)
        data["version"], data["opened_at"] = str(find.version), find.changed_at.isoformat()
        page = LogPage.filled(self.member, data, find=find)
        page.meanwhile = told
        page.changed_by = (
            say("by you, on another phone or page,")
            if changed.is_by(self.member)
            else say("by somebody else")
        )
        page.add_trouble(
            say(
                "{number} was changed {changed_by} while this form was open. Nothing was written "
                "and what you typed is still here. Compare below, then keep the find again.",
                number=find.collecting_number,
                changed_by=page.changed_by,
            )
        )
        return page

    # --- what the templates are given ---

    @cached_property
    def reference(self) -> Reference:
        return current_reference()

    @cached_property
    def named(self) -> naming.Named:
        """How the name in the form is understood."""
        if self.form.is_bound:
            self.form.is_valid()
            return self.form.named
        return naming.read(self.form.initial.get("name_typed", ""), self.reference)

    @property
    def specimen(self) -> Specimen:
        """What is in the form, as far as it can be read, for the check; nothing of it need be stored."""
        named = self.named
        given = self._given
        taken = Find(
            specimen_state=given.get("specimen_state") or "",
            specimen_age=given.get("specimen_age") or "",
            found_on=given.get("found_on"),
            host=given.get("host") or "",
        )
        return assess.specimen_of(taken, self.readings.entries, named.taxon)

    def checkup(self) -> Checkup:
        """The check of what is in the form."""
        return check_up(self.reference, self.specimen, has_dried=self.has_dried)

    @property
    def has_dried(self) -> bool:
        """Whether what drying destroys can no longer be looked at."""
        given = self._given
        # Of days that go by the hour of no zone.
        today = timezone.now().date()
        return has_dried(given.get("found_on"), today, state=given.get("specimen_state") or "")

    @property
    def _given(self) -> Mapping[str, Any]:
        if not self.form.is_bound:
            return self.form.initial
        self.form.is_valid()
        return self.form.cleaned_data

    @property
    def is_of_a_day_to_come(self) -> bool:
        """Whether the day that was sent is later than today. It is asked about, never refused."""
        if not self.form.is_bound:
            return False
        found_on = self.form.cleaned_data.get("found_on")
        return found_on is not None and found_on > _today()

    @property
    def photos(self) -> list[Photo]:
        known = list(self.find.photos.all()) if self.find else []
        page_id = self.page_id or (self.find.pk if self.find else None)
        return known + (actions.waiting_photos(page_id, self.member) if page_id else [])

    @property
    def _next_number(self) -> str:
        return str(self.slip) if self.slip else numbers.next_number(self.member)

    @property
    def _is_new(self) -> bool:
        return self.find is None and self.member is not None

    def _rows(self, codes: Sequence[str]) -> list[TraitRow]:
        return [self.readings.rows[code] for code in codes if code in self.readings.rows]

    @property
    def more_rows(self) -> Mapping[str, list[TraitRow]]:
        shown = {*in_hand(), *fresh(), *wood(short=True), *wood(short=False)}
        groups: dict[str, list[TraitRow]] = {}
        for row in self.readings:
            if row.trait.code not in shown:
                groups.setdefault(row.trait.group, []).append(row)
        return groups

    @property
    def context(self) -> dict[str, Any]:
        checkup, photos = self.checkup(), self.photos
        with_scale = photos_with_scale(photos)
        return {
            "page": self,
            "form": self.form,
            "find": self.find,
            "in_hand": self._rows(in_hand()),
            "fresh": self._rows(fresh()),
            "wood": self._rows(wood(short=True)),
            "wood_more": self._rows(wood(short=False)),
            "more_rows": self.more_rows,
            "all_rows": list(self.readings),
            "checkup": checkup,
            "named": self.named,
            "photos": photos,
            "with_scale": with_scale,
            "views_say": views_say(
                photos,
                self.specimen,
                self.reference,
                has_scale=bool(with_scale),
                is_amended=self.find is not None,
            ),
            "states_of_specimen": SPECIMEN_STATES,
            "ages_of_specimen": AGES,
            **place_words(self.form.place),
            "shots": SHOTS,
            "views": VIEWS,
            "decay_scales": tables.decay_scales().values(),
            "known_names": naming.offered(self.reference),
            "host_names": tables.host_genera(),
            "datums": DATUMS,
            "bases": BASES,
            "off_by": OFF_BY_M,
            "bar_line": bar_line(checkup),
            "next_number": self._next_number if self._is_new else None,
        }


# What a form holds before anybody touched it, or what says nothing on its own.
_THERE_BEFOREHAND = frozenset(
    {
        "kept",
        "found_on",
        "found_at_time",
        "utc_offset_minutes",
        "foray",
        "datum",
        "own_blur_step_deg",
        "keyed_at_table",
    }
)
_LABELS = {
    "uncertainty_m": later("How far off the place might be"),
    "name_typed": later("Name"),
    "serial": later("Collecting number"),
    "decay": later("Decay class"),
    "find_id": later("The form"),
    "determiner_name": later("determiner name"),
    "basis": later("basis"),
    "version": later("version"),
    "opened_at": later("opened at"),
}


def _today() -> date:
    return timezone.localdate(timezone=ZoneInfo(the_club().time_zone))


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
    return list(dict.fromkeys(refused))


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
