"""The record part of the log form: everything about a find but its readings and photos."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.db.models import Q
from django.http import QueryDict

from ledger.finds import naming, tables
from ledger.finds.boxed_place import boxed_place
from ledger.finds.entries import NameGiven
from ledger.finds.fields import CountText, NumberText
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.places.errors import PlaceError
from ledger.places.parse import parse_position
from ledger.places.position import Position
from ledger.text_fields import PlainText
from ledger.traits.readings import AGES, SPECIMEN_STATES
from ledger.words import later, say

HOST_KNOWN_BY = ("bark", "leaves", "wood", "told", "guess")
WOOD_POSITIONS = ("upper", "side", "under", "cut end", "wound", "base", "root")
# "table": one position for a whole foray's table, whose error reaches as far as its finders went.
POSITION_SOURCES = ("phone", "photo", "typed", "table")
BLUR_STEPS = (
    (0.001, "0.001° (110 m)"),
    (0.01, "0.01° (1.1 km)"),
    (0.1, "0.1° (11 km)"),
    (1.0, "1° (111 km)"),
)
BASES = ("by eye", "lens", "spores measured", "KOH", "compared with a named specimen")


def _choices(codes: tuple[str, ...], empty: str) -> list[tuple[str, str]]:
    return [("", empty), *((code, later(code)) for code in codes)]


def _short(most: int, **attrs: str) -> PlainText:
    return PlainText(
        required=False, max_length=most, widget=forms.TextInput(attrs={"autocomplete": "off", **attrs})
    )


class FindForm(forms.Form):
    """Fields are named as the columns of a find. `find_id` is made with the form and is the find's for life."""

    find_id = forms.UUIDField(widget=forms.HiddenInput)
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    opened_at = forms.DateTimeField(required=False, widget=forms.HiddenInput)

    specimen_state = forms.ChoiceField(required=False, choices=_choices(SPECIMEN_STATES, ""))
    specimen_age = forms.ChoiceField(required=False, choices=_choices(AGES, ""))
    smell = _short(120)
    fruit_bodies = CountText(unit=later("fruit bodies"), least=0, most=100_000)

    host = _short(120, list="host-names", autocapitalize="sentences")
    host_known_by = forms.ChoiceField(required=False, choices=_choices(HOST_KNOWN_BY, later("not said")))
    trees_nearby = _short(200)
    wood_position = forms.ChoiceField(required=False, choices=_choices(WOOD_POSITIONS, later("not said")))
    height_m = NumberText(unit="m", least=0, most=150)
    diameter_cm = NumberText(unit="cm", least=0, most=2000)
    decay = PlainText(required=False, max_length=52)

    found_on = forms.DateField(
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%d %B %Y"],
        error_messages={
            "invalid": later(
                "This is not read as a date. It was kept as typed; type year-month-day, such as 2026-10-03."
            )
        },
    )
    found_at_time = forms.TimeField(
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={
            "invalid": later("This is not read as a time. It was kept as typed; type it as 14:05.")
        },
    )
    utc_offset_minutes = forms.IntegerField(
        required=False, min_value=-840, max_value=840, widget=forms.HiddenInput
    )
    position_typed = _short(
        200, autocapitalize="off", spellcheck="false", placeholder=later("or type it: 51.2345, -2.3456")
    )
    position_source = forms.ChoiceField(
        required=False, choices=_choices(POSITION_SOURCES, ""), widget=forms.HiddenInput
    )
    uncertainty_m = NumberText(unit="m", least=0, most=20_037_509)
    altitude_m = NumberText(unit="m", least=-430, most=9000)
    facing_deg = NumberText(unit="°", least=0, most=360)
    datum = _short(40, list="datums")
    locality = _short(300)
    own_blur_step_deg = forms.TypedChoiceField(
        required=False,
        coerce=float,
        empty_value=None,
        choices=[("", later("everybody in the club may see it")), *BLUR_STEPS],
    )
    foray = forms.ModelChoiceField(Foray.objects.none(), required=False, empty_label=later("on my own"))
    permission = _short(200)

    name_typed = _short(200, list="known-names", autocapitalize="sentences", spellcheck="false")
    determiner_name = _short(120)
    basis = _short(200, list="bases")
    found_by = _short(120)
    keyed_at_table = forms.BooleanField(required=False, widget=forms.HiddenInput)
    kept = forms.BooleanField(required=False)
    serial = CountText(unit=later("number"), least=1, most=2_000_000_000)
    note = PlainText(required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, label_suffix="", **kwargs)
        self.fields["foray"].queryset = Foray.objects.order_by("-held_on")
        self.place: Position | None = None
        self.named = naming.Named()
        for name in self.errors if self.is_bound else ():
            if name in self.fields:
                self.fields[name].widget.attrs |= {
                    "aria-invalid": "true",
                    "aria-describedby": f"id_{name}_error",
                }

    def clean_position_typed(self) -> str:
        text: str = self.cleaned_data["position_typed"].strip()
        if text:
            try:
                self.place = parse_position(text)
            except PlaceError as problem:
                raise forms.ValidationError(
                    say("{problem} What you typed was kept.", problem=problem)
                ) from problem
        return text

    def clean_decay(self) -> tuple[str, str]:
        """`scale/class` as the chips send it: a class means nothing without its scale."""
        scale, _, step = self.cleaned_data["decay"].partition("/")
        known = tables.decay_scales().get(scale)
        if self.cleaned_data["decay"] and (known is None or step not in known.classes):
            raise forms.ValidationError(
                say("This class of decay is not in the list. The rest was kept. Choose again.")
            )
        return scale, step

    def clean_name_typed(self) -> str:
        typed: str = " ".join(self.cleaned_data["name_typed"].split())
        self.named = naming.read(typed)
        return typed

    @property
    def record(self) -> dict[str, Any]:
        """The columns of the find, from a valid form."""
        data = self.cleaned_data
        # A form without a box says nothing of it: what the find holds there stays.
        taken = {name: data[name] for name in _PLAIN if name in self.data or name in _SILENT_WHEN_EMPTY}
        taken["decay_scale"], taken["decay_class"] = data["decay"]
        return taken | _place_columns(self.place, data)

    @property
    def name(self) -> NameGiven:
        data = self.cleaned_data
        return NameGiven(
            typed=self.named.written,
            vernacular_typed=self.named.vernacular_typed,
            taxon=self.named.row,
            qualifier=self.named.qualifier,
            determiner_name=data["determiner_name"],
            determined_on=data["found_on"],
            basis=data["basis"],
        )


class FinderForm(forms.Form):
    """Who found a find that is on the ledger. `version` is that of the find as the page showed it."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    finder = forms.ModelChoiceField(
        Member.objects.none(),
        label=later("Finder"),
        empty_label=None,
        help_text=later(
            "The collecting number stays as it is, with the code it begins with: it stands on the packet."
        ),
        error_messages={
            "invalid_choice": later("This is no member any longer. Nothing was changed; choose another.")
        },
    )
    found_by = PlainText(
        required=False,
        max_length=120,
        label=later("A guest’s name"),
        help_text=later("Where the finder is no member. The finder above is then whoever keyed it in."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, data: QueryDict | None = None, *, find: Find) -> None:
        self.find = find
        initial = {"version": find.version, "finder": find.finder_id, "found_by": find.found_by}
        super().__init__(data, initial=initial, label_suffix="")
        known = Member.objects.filter(Q(is_active=True) | Q(pk=find.finder_id))
        self.fields["finder"].queryset = known.order_by("full_name")

    def clean_found_by(self) -> str:
        return " ".join(str(self.cleaned_data["found_by"]).split())

    def seen_again(self) -> "FinderForm":
        """The form with what was chosen, for the find as it is now: sent again, it is decided with that in sight."""
        data = self.data.copy()
        data["version"] = str(Find.objects.get(pk=self.find.pk).version)
        return FinderForm(data, find=self.find)


_PLAIN = (
    *(
        "kept",
        "found_on",
        "found_at_time",
        "utc_offset_minutes",
        "altitude_m",
        "locality",
        "own_blur_step_deg",
    ),
    *("host", "host_known_by", "trees_nearby", "wood_position", "height_m", "diameter_cm", "foray"),
    *("permission", "fruit_bodies", "smell", "note", "specimen_state", "specimen_age"),
    *("found_by", "facing_deg", "keyed_at_table"),
)
# Tick boxes and choices by radio: a browser sends none of them where nothing is chosen, so their silence is an answer.
_SILENT_WHEN_EMPTY = frozenset({"kept", "specimen_state", "specimen_age", "host_known_by", "wood_position"})


def _place_columns(place: Position | None, data: Mapping[str, Any]) -> dict[str, Any]:
    if place is None:
        return {
            "latitude": None,
            "longitude": None,
            "datum": data["datum"] or "WGS84",
            "uncertainty_m": data["uncertainty_m"] or None,
            "position_source": "",
            "position_typed": "",
        }
    stated = place.with_stated_error(data["uncertainty_m"] or None)
    return {
        "latitude": place.latitude,
        "longitude": place.longitude,
        "datum": data["datum"] or place.datum,
        "uncertainty_m": stated.uncertainty_m,
        "position_source": data["position_source"] or "typed",
        "position_typed": data["position_typed"],
    }


def initial_of(find: Find) -> dict[str, Any]:
    """A stored find as the form shows it for amending."""
    name = find.current_determination
    return {
        **{field: getattr(find, field) for field in _PLAIN},
        "find_id": find.pk,
        "version": find.version,
        "opened_at": find.changed_at.isoformat(),
        "decay": f"{find.decay_scale}/{find.decay_class}" if find.decay_class else "",
        "position_typed": boxed_place(find),
        "position_source": find.position_source,
        "uncertainty_m": _number(find.uncertainty_m),
        "altitude_m": _number(find.altitude_m),
        "facing_deg": _number(find.facing_deg),
        "height_m": _number(find.height_m),
        "diameter_cm": _number(find.diameter_cm),
        "datum": find.datum,
        "name_typed": name.name_typed if name else "",
        "determiner_name": name.determiner_name if name else "",
        "basis": name.basis if name else "",
        "serial": find.collecting_serial,
    }


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
