"""Boxes of the pages of sampling leave."""

from typing import Any

from django import forms
from django.utils.functional import lazy

from ledger.words import Said, capital, later, say
from vouchers.loans.codes_box import read_parts
from vouchers.loans.forms import PartyForm, day_box, today, words_box
from vouchers.parts.models import Part
from vouchers.sampling.purposes import PURPOSES


def _on() -> Said:
    # The word before a day; with a capital it is another in the catalogue, that of a button.
    return capital(say("on"))


_ON = lazy(_on, str)()


class AskForm(PartyForm):
    code = words_box(
        later("Code of the part"), 60, help_text=later("Scan or type it. A bare number is the packet.")
    )
    purpose = forms.ChoiceField(
        label=later("Purpose"),
        choices=[("", later("Choose")), *PURPOSES.items()],
        error_messages={
            "required": later("No purpose was chosen. Nothing was written yet; choose one."),
            "invalid_choice": later("That purpose is not on the list. Nothing was written yet; choose one."),
        },
    )
    purpose_words = words_box(later("For what work"), 300)
    what = words_box(
        later("What may be cut"),
        300,
        help_text=later("How much and from where: “5 mm² of the flesh, none of the pores”."),
    )
    asked_on = day_box(later("Asked on"))
    field_order = ("code", "person", "institution", "address", "purpose", "purpose_words", "what", "asked_on")

    def __init__(self, *args: Any, code: str = "", **kwargs: Any) -> None:
        super().__init__(*args, initial={"asked_on": today(), "code": code}, **kwargs)
        self.fields["person"].label = later("Asked by")
        self.fields["institution"].required = False

    def clean_code(self) -> Part:
        read = read_parts([self.cleaned_data["code"]])
        if read.wrong:
            raise forms.ValidationError(list(read.wrong))
        return read.parts[0]


class DecisionForm(forms.Form):
    decision = forms.ChoiceField(
        label=later("Decision"),
        choices=[
            ("", later("Choose")),
            ("granted", later("Leave is granted")),
            ("refused", later("Leave is refused")),
        ],
        error_messages={
            "required": later(
                "It was not said whether leave is granted. The request waits still; choose one."
            ),
            "invalid_choice": later("That is not on the list. The request waits still; choose one."),
        },
    )
    words = words_box(later("Conditions, or why not"), 300, required=False)


class CutForm(forms.Form):
    cut_what = words_box(
        later("What was cut"),
        200,
        help_text=later("From where and how much, as it stands on the annotation slip."),
    )
    cut_by = words_box(later("Cut by"), 120)
    cut_on = day_box(_ON)


class ResultForm(forms.Form):
    result = words_box(
        later("Result"), 300, help_text=later("Where a sequence or a paper is found; or that it failed.")
    )
