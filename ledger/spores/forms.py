"""The form of measured spores. A payload goes through the same form: a rule has one home."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from ledger.spores.entries import SporesEntry
from ledger.spores.models import SporeSet
from ledger.spores.statistics import Pair
from ledger.spores.typed import MOST_LETTERS, SporesError, Typed, as_typed, parse_spores
from ledger.text_fields import PlainText
from ledger.traits.instruments import INSTRUMENTS

_KEPT = "What you typed was kept here."
_NO_NUMBER = ("invalid", "min_value", "max_value")
_DECIMAL = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,5})?")
# One division of an eyepiece scale: oil immersion to a low power, with room to spare (our judgement).
_DIVISION_UM = (0.05, 50.0)
_READ_TO = (
    ("", "not known"),
    *((f"{one.resolution:g}", one.label) for one in INSTRUMENTS["um"]),
    ("0.1", "on a picture, to 0.1 µm"),
)


class SporesForm(forms.Form):
    typed = PlainText(
        label="Spores, length × width in µm",
        help_text="One after the other or one a line: 9.5 x 4.2, 10 x 4. Two columns out of a table can be pasted.",
        max_length=MOST_LETTERS,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "autocomplete": "off"}),
        error_messages={
            "required": "No measurement was typed. Type one spore after the other, such as 9.5 x 4.2, 10 x 4.",
            "max_length": f"The text is longer than {MOST_LETTERS:,} letters. {_KEPT} Paste the measurements alone.",
        },
    )
    mount = forms.ChoiceField(
        label="Mounted in",
        help_text="Spores swell: the same ones are about 15 % larger wet than dry.",
        choices=[("", "choose"), *SporeSet.Mount.choices],
        error_messages={
            "required": f"In what the spores lay was not said. {_KEPT} Choose it.",
            "invalid_choice": f"That mount is none of the list. {_KEPT} Choose one.",
        },
    )
    material = forms.ChoiceField(
        label="Taken from",
        choices=[("", "choose"), *SporeSet.Material.choices],
        error_messages={
            "required": f"From what the spores were taken was not said. {_KEPT} Choose it.",
            "invalid_choice": f"That material is none of the list. {_KEPT} Choose one.",
        },
    )
    fruit_bodies = forms.IntegerField(
        label="Fruit bodies they are from",
        required=False,
        min_value=1,
        max_value=500,
        error_messages=dict.fromkeys(
            _NO_NUMBER,
            f"That is no number of fruit bodies from 1 to 500. {_KEPT} Type it in figures, or leave it empty.",
        ),
    )
    resolution_um = forms.ChoiceField(
        label="Read to",
        choices=_READ_TO,
        required=False,
        error_messages={"invalid_choice": f"That is none of the list. {_KEPT} Choose one."},
    )
    magnification = forms.IntegerField(
        label="Magnification",
        help_text="Of objective and eyepiece together, such as 1000.",
        required=False,
        min_value=10,
        max_value=10_000,
        error_messages=dict.fromkeys(
            _NO_NUMBER,
            f"That is no magnification from 10 to 10,000. {_KEPT} Type it in figures, such as 1000.",
        ),
    )
    um_per_division = PlainText(
        label="One division of the eyepiece scale, µm",
        help_text="As calibrated against a stage micrometer.",
        required=False,
        max_length=20,
        error_messages={"max_length": f"That is no length. {_KEPT} Type it in µm, such as 0.98."},
    )
    measured_on = forms.DateField(
        label="Measured on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": f"That is no day. {_KEPT} Type it as 2026-11-26, or leave it empty."},
    )
    measured_by = PlainText(
        label="Measured by",
        required=False,
        max_length=120,
        error_messages={"max_length": f"The name is longer than 120 letters. {_KEPT} Shorten it."},
    )
    note = PlainText(
        label="Note",
        required=False,
        max_length=300,
        error_messages={"max_length": f"The note is longer than 300 letters. {_KEPT} Shorten it."},
    )

    def __init__(
        self, data: Any = None, *, today: date, stored: SporeSet | None = None, measured_by: str = ""
    ) -> None:
        initial = _initial(stored) if stored else {"measured_by": measured_by, "fruit_bodies": 1}
        super().__init__(data, label_suffix="", initial=initial)
        self.today = today
        self.left_out: tuple[str, ...] = ()
        self.pairs: tuple[Pair, ...] = ()
        for name in ("fruit_bodies", "magnification"):
            self.fields[name].widget = forms.TextInput(
                attrs={"inputmode": "numeric", "autocomplete": "off", "size": "6"}
            )
        self.fields["um_per_division"].widget.attrs |= {
            "inputmode": "decimal",
            "autocomplete": "off",
            "size": "6",
        }
        self.fields["measured_on"].widget.attrs["max"] = today.isoformat()

    def clean_typed(self) -> str:
        text = str(self.cleaned_data["typed"])
        try:
            read: Typed = parse_spores(text)
        except SporesError as trouble:
            first, *others = trouble.sentences
            raise forms.ValidationError([f"{first} {_KEPT}", *others]) from None
        self.pairs, self.left_out = read.pairs, read.left_out
        return text

    def clean_um_per_division(self) -> float | None:
        typed = str(self.cleaned_data["um_per_division"]).removesuffix("µm").strip()
        if not typed:
            return None
        value = float(typed.replace(",", ".")) if _DECIMAL.fullmatch(typed) else None
        if value is None or not _DIVISION_UM[0] <= value <= _DIVISION_UM[1]:
            raise forms.ValidationError(
                f"“{typed[:20]}” is no length of a division from {_DIVISION_UM[0]:g} to {_DIVISION_UM[1]:g} µm. {_KEPT} "
                "Type it in µm, such as 0.98."
            )
        return value

    def clean_resolution_um(self) -> float | None:
        chosen = self.cleaned_data["resolution_um"]
        return float(chosen) if chosen else None

    def clean_measured_on(self) -> date | None:
        day: date | None = self.cleaned_data["measured_on"]
        if day is not None and day > self.today:
            raise forms.ValidationError(
                f"{day.isoformat()} is a day to come. {_KEPT} Type the day of the measuring."
            )
        return day

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if (
            cleaned.get("mount") == SporeSet.Mount.OTHER
            and not cleaned.get("note")
            and "note" not in self.errors
        ):
            self.add_error(
                "note", f"In what other mount the spores lay was not said. {_KEPT} Name it in the note."
            )
        return cleaned

    @property
    def entry(self) -> SporesEntry:
        given = self.cleaned_data
        return SporesEntry(
            pairs=self.pairs,
            mount=given["mount"],
            material=given["material"],
            typed=given["typed"],
            fruit_bodies=given["fruit_bodies"],
            magnification=given["magnification"],
            um_per_division=given["um_per_division"],
            resolution_um=given["resolution_um"],
            measured_on=given["measured_on"],
            measured_by=given["measured_by"],
            note=given["note"],
        )


def form_of_payload(body: Mapping[str, Any], *, today: date) -> SporesForm:
    """The form filled in by a program. `pairs`, [[length, width], …] in µm, or `typed`; the rest by the form's names."""
    given = {
        name: "" if body.get(name) is None else str(body[name])
        for name in SporesForm.base_fields
        if name in body
    }
    if "pairs" in body and "typed" not in body:
        given["typed"] = _typed_of(body["pairs"])
    return SporesForm(given, today=today)


def _typed_of(pairs: Any) -> str:
    """Pairs of a payload as text; what is no list of pairs of numbers becomes words that the form refuses."""
    is_pairs = isinstance(pairs, list) and all(
        isinstance(pair, list)
        and len(pair) == 2
        and all(isinstance(side, (int, float)) and not isinstance(side, bool) for side in pair)
        for pair in pairs
    )
    return (
        as_typed([(pair[0], pair[1]) for pair in pairs])
        if is_pairs
        else "pairs are no list of two numbers each"
    )


def _initial(stored: SporeSet) -> dict[str, Any]:
    return {
        "typed": stored.typed or as_typed(stored.spores),
        "mount": stored.mount,
        "material": stored.material,
        "fruit_bodies": stored.fruit_bodies,
        "magnification": stored.magnification,
        "um_per_division": f"{stored.um_per_division:g}" if stored.um_per_division else "",
        "resolution_um": f"{stored.resolution_um:g}" if stored.resolution_um else "",
        "measured_on": stored.measured_on,
        "measured_by": stored.measured_by,
        "note": stored.note,
    }
