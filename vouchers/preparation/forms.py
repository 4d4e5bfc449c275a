"""What is typed at the drier and the freezer, late in the evening and on a phone."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.functional import lazy

from ledger.moments import moment_text
from ledger.row_keys import key_of
from ledger.text_fields import PlainText
from ledger.words import Later, later, say
from vouchers.preparation import order, units
from vouchers.preparation.actions import BIGGEST_TRAY, Details, RunFacts, WhyNot
from vouchers.preparation.models import DryingRun

NEW_RUN = "new"
# Phrases to choose from, so that nobody types at midnight; any other words will do.
REASONS = (
    later("no time before it would spoil"),
    later("too little material"),
    later("too old to show it"),
    later("on the paper slip, not keyed in yet"),
)


class _Moment(forms.DateTimeField):
    """When it was done; empty: now."""

    def __init__(self) -> None:
        super().__init__(
            label=later("When"),
            required=False,
            help_text=later("Empty: now."),
            widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
            error_messages={
                "invalid": later(
                    "That is no day and hour. Nothing was recorded; choose both, or leave the box empty for now."
                )
            },
        )


_NO_TRAY = lazy(
    lambda: say(
        "Trays go from 1 to {most}. Nothing was recorded; type the number of its tag.", most=BIGGEST_TRAY
    ),
    str,
)()


class _Number(forms.FloatField):
    """A number that says which box it stands in where it is none."""

    def clean(self, value: Any) -> Any:
        try:
            return super().clean(value)
        except ValidationError:
            raise ValidationError(
                say(
                    "{label}: that is no number. Nothing was recorded; type digits, such as 12 or 12.5.",
                    label=self.label,
                ),
                code="invalid",
            ) from None


def _number(label: Later, help_text: str = "") -> forms.FloatField:
    return _Number(
        label=label,
        help_text=help_text,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )


def _unit() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=later("Unit"), choices=list(units.UNITS.items()), required=False, initial=units.CELSIUS
    )


def _uuids(values: list[str]) -> list[uuid.UUID]:
    found = []
    for value in values:
        try:
            found.append(uuid.UUID(value))
        except ValueError:
            continue  # a name no row has; the action says that nothing was chosen
    return found


class StepForm(forms.Form):
    """One step of the ticked finds. `do` is the button that was pressed."""

    do = forms.ChoiceField(
        choices=[
            (kind, words)
            for kind, words in order.WORDS.items()
            if kind not in (order.INTO_DRIER, order.LEFT_OUT, order.WITHDRAWN)
        ],
        error_messages={
            "required": later("No step was chosen. Nothing was recorded; press one of the buttons."),
            "invalid_choice": later("That is no step. Nothing was recorded; press one of the buttons."),
        },
    )
    at = _Moment()
    hours = _number(later("Hours longer"))
    temperature = _number(
        later("Temperature of the freezer"), later("As its thermometer says; it is kept as typed.")
    )
    temperature_unit = _unit()
    days = _number(later("Days planned"))
    words = PlainText(label=later("Note"), max_length=200, required=False)
    why_not = PlainText(
        label=later("If something is left out, why"),
        max_length=200,
        required=False,
        help_text=later("Such as: not frozen, the freezer is full."),
    )

    def __init__(self, data: QueryDict | None = None, *, section: str = "step") -> None:
        # It may be sent, and a sign of its own in it would be taken for the place of the field's name.
        super().__init__(data, auto_id=f"{section.replace('%', '%%')}-%s")
        self.section = section
        self.finds = _uuids(data.getlist("finds")) if data is not None else []

    def clean_do(self) -> str:
        return str(self.cleaned_data["do"])

    @property
    def details(self) -> Details:
        data = self.cleaned_data
        return Details(
            temperature=data["temperature"],
            temperature_unit=data["temperature_unit"] or units.CELSIUS,
            hours=data["hours"],
            days=data["days"],
            words=data["words"],
        )

    @property
    def answer(self) -> WhyNot:
        return WhyNot(all=self.cleaned_data["why_not"])


class PutInForm(forms.Form):
    """Many finds into one run. Trays and reasons of single finds are boxes of their rows: `tray-<id>`, `why-<id>`."""

    run = forms.ChoiceField(
        label=later("Which load"),
        widget=forms.RadioSelect,
        error_messages={
            "invalid_choice": later(
                "That drying run is not there any more. Nothing was recorded; choose another, or a new one."
            ),
            "required": later(
                "No drying run was chosen. Nothing was recorded; choose a new one or one under way."
            ),
        },
    )
    drier = PlainText(
        label=later("Drier"),
        max_length=80,
        required=False,
        help_text=later("Its name, also where it is a table: blue dehydrator, shelf over the stove."),
    )
    temperature = _number(later("Temperature"), later("As set; it is kept as typed."))
    temperature_unit = _unit()
    planned_hours = _number(later("Hours planned"), later("Then it stands in the list of what is due out."))
    note = PlainText(label=later("Note"), max_length=200, required=False)
    at = _Moment()
    first_tray = forms.IntegerField(
        label=later("First tray"),
        required=False,
        min_value=1,
        max_value=BIGGEST_TRAY,
        help_text=later(
            "Numbers the trays from here, in the order of the list. Empty: no trays, or those typed in the rows."
        ),
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": later(
                "First tray: that is no whole number. Nothing was recorded; type the number of its tag, such as 5."
            ),
            "min_value": _NO_TRAY,
            "max_value": _NO_TRAY,
        },
    )
    why_not = PlainText(
        label=later("Not done, and why"),
        max_length=200,
        required=False,
        help_text=later("For all ticked finds that have no words of their own."),
        widget=forms.TextInput(attrs={"list": "reasons", "autocomplete": "off"}),
    )

    def __init__(self, data: QueryDict | None, *, runs: list[DryingRun], initial: dict[str, Any]) -> None:
        super().__init__(data, initial=initial)
        self.runs = {str(run.pk): run for run in runs}
        choices: list[tuple[str, str]] = [(NEW_RUN, say("a new load"))]
        choices += [
            (key, say("{run}, since {time}", run=str(run), time=moment_text(run.started_at)))
            for key, run in self.runs.items()
        ]
        self.fields["run"].choices = choices
        self.finds = _uuids(data.getlist("finds")) if data is not None else []
        self.trays: dict[uuid.UUID, int] = {}

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for find in self.finds:
            typed = self.data.get(f"tray-{find}", "").strip()
            if typed and not key_of(typed):
                self.add_error(
                    None,
                    say(
                        "Tray {typed} is no number. Nothing was recorded; type the number of its tag.",
                        typed=repr(typed[:20]),
                    ),
                )
            elif typed:
                self.trays[find] = key_of(typed)
        if data.get("run") == NEW_RUN and not data.get("drier") and self.data.get("do") != "leave":
            self.add_error(
                "drier",
                say("Which drier is missing. Nothing was recorded; name it, also where it is only a table."),
            )
        return data

    @property
    def into(self) -> DryingRun | RunFacts:
        data = self.cleaned_data
        if data["run"] in self.runs:
            return self.runs[data["run"]]
        return RunFacts(
            drier=data["drier"],
            temperature=data["temperature"],
            temperature_unit=data["temperature_unit"] or units.CELSIUS,
            planned_hours=data["planned_hours"],
            note=data["note"],
        )

    @property
    def answer(self) -> WhyNot:
        own = {
            find: PlainText().clean(words)
            for find in self.finds
            if (words := self.data.get(f"why-{find}", ""))
        }
        return WhyNot(of=own, all=self.cleaned_data["why_not"])


class WithdrawForm(forms.Form):
    words = PlainText(label=later("What was wrong with it"), max_length=200, required=False)
