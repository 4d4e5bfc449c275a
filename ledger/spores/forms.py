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
from ledger.words import later, say, together

_NO_NUMBER = ("invalid", "min_value", "max_value")
_DECIMAL = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,5})?")
# One division of an eyepiece scale: oil immersion to a low power, with room to spare (our judgement).
_DIVISION_UM = (0.05, 50.0)
_READ_TO = (
    ("", later("not known")),
    *((f"{one.resolution:g}", one.label) for one in INSTRUMENTS["um"]),
    ("0.1", later("on a picture, to 0.1 µm")),
)


class SporesForm(forms.Form):
    typed = PlainText(
        label=later("Spores, length × width in µm"),
        help_text=later(
            "One after the other or one a line: 9.5 x 4.2, 10 x 4. Two columns out of a table can be pasted."
        ),
        max_length=MOST_LETTERS,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "autocomplete": "off"}),
        error_messages={
            "required": later(
                "No measurement was typed. Type one spore after the other, such as 9.5 x 4.2, 10 x 4."
            )
        },
    )
    mount = forms.ChoiceField(
        label=later("Mounted in"),
        help_text=later("Spores swell: the same ones are about 15 % larger wet than dry."),
        choices=[("", later("choose")), *SporeSet.Mount.choices],
        error_messages={
            "required": later(
                "In what the spores lay was not said. What you typed was kept here. Choose it."
            ),
            "invalid_choice": later(
                "That mount is none of the list. What you typed was kept here. Choose one."
            ),
        },
    )
    material = forms.ChoiceField(
        label=later("Taken from"),
        choices=[("", later("choose")), *SporeSet.Material.choices],
        error_messages={
            "required": later(
                "From what the spores were taken was not said. What you typed was kept here. Choose it."
            ),
            "invalid_choice": later(
                "That material is none of the list. What you typed was kept here. Choose one."
            ),
        },
    )
    fruit_bodies = forms.IntegerField(
        label=later("Fruit bodies they are from"),
        required=False,
        min_value=1,
        max_value=500,
        error_messages=dict.fromkeys(
            _NO_NUMBER,
            later(
                "That is no number of fruit bodies from 1 to 500. What you typed was kept here. Type it in figures, or "
                "leave it empty."
            ),
        ),
    )
    resolution_um = forms.ChoiceField(
        label=later("Read to"),
        choices=_READ_TO,
        required=False,
        error_messages={
            "invalid_choice": later("That is none of the list. What you typed was kept here. Choose one.")
        },
    )
    magnification = forms.IntegerField(
        label=later("Magnification"),
        help_text=later("Of objective and eyepiece together, such as 1000."),
        required=False,
        min_value=10,
        max_value=10_000,
        error_messages=dict.fromkeys(
            _NO_NUMBER,
            later(
                "That is no magnification from 10 to 10,000. What you typed was kept here. Type it in figures, such as 1000."
            ),
        ),
    )
    um_per_division = PlainText(
        label=later("One division of the eyepiece scale, µm"),
        help_text=later("As calibrated against a stage micrometer."),
        required=False,
        max_length=20,
        error_messages={
            "max_length": later(
                "That is no length. What you typed was kept here. Type it in µm, such as 0.98."
            )
        },
    )
    measured_on = forms.DateField(
        label=later("Measured on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "invalid": later(
                "That is no day. What you typed was kept here. Type it as 2026-11-26, or leave it empty."
            )
        },
    )
    measured_by = PlainText(
        label=later("Measured by"),
        required=False,
        max_length=120,
        error_messages={
            "max_length": later(
                "The name is longer than 120 letters. What you typed was kept here. Shorten it."
            )
        },
    )
    note = PlainText(
        label=later("Note"),
        required=False,
        max_length=300,
        error_messages={
            "max_length": later(
                "The note is longer than 300 letters. What you typed was kept here. Shorten it."
            )
        },
    )

    def __init__(
        self, data: Any = None, *, today: date, stored: SporeSet | None = None, measured_by: str = ""
    ) -> None:
        initial = _initial(stored) if stored else {"measured_by": measured_by, "fruit_bodies": 1}
        super().__init__(data, label_suffix="", initial=initial)
        self.today = today
        self.fields["typed"].error_messages["max_length"] = say(
            "The text is longer than {n} letters. What you typed was kept here. Paste the measurements alone.",
            n=f"{MOST_LETTERS:,}",
        )
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
            raise forms.ValidationError(
                [together([first, say("What you typed was kept here.")]), *others]
            ) from None
        self.pairs, self.left_out = read.pairs, read.left_out
        return text

    def clean_um_per_division(self) -> float | None:
        typed = str(self.cleaned_data["um_per_division"]).removesuffix("µm").strip()
        if not typed:
            return None
        value = float(typed.replace(",", ".")) if _DECIMAL.fullmatch(typed) else None
        if value is None or not _DIVISION_UM[0] <= value <= _DIVISION_UM[1]:
            raise forms.ValidationError(
                say(
                    "“{typed}” is no length of a division from {least} to {most} µm. What you typed was kept here. "
                    "Type it in µm, such as 0.98.",
                    typed=typed[:20],
                    least=f"{_DIVISION_UM[0]:g}",
                    most=f"{_DIVISION_UM[1]:g}",
                )
            )
        return value

    def clean_resolution_um(self) -> float | None:
        chosen = self.cleaned_data["resolution_um"]
        return float(chosen) if chosen else None

    def clean_measured_on(self) -> date | None:
        day: date | None = self.cleaned_data["measured_on"]
        if day is not None and day > self.today:
            raise forms.ValidationError(
                say(
                    "{day} is a day to come. What you typed was kept here. Type the day of the measuring.",
                    day=day.isoformat(),
                )
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
                "note",
                say(
                    "In what other mount the spores lay was not said. What you typed was kept here. Name it in the note."
                ),
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
