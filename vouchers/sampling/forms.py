"""Boxes of the pages of sampling leave."""

from typing import Any

from django import forms

from vouchers.loans.codes_box import read_parts
from vouchers.loans.forms import PartyForm, day_box, today, words_box
from vouchers.parts.models import Part
from vouchers.sampling.purposes import PURPOSES


class AskForm(PartyForm):
    code = words_box("Code of the part", 60, help_text="Scan or type it. A bare number is the packet.")
    purpose = forms.ChoiceField(
        label="Purpose",
        choices=[("", "Choose"), *PURPOSES.items()],
        error_messages={
            "required": "No purpose was chosen. Nothing was written yet; choose one.",
            "invalid_choice": "That purpose is not on the list. Nothing was written yet; choose one.",
        },
    )
    purpose_words = words_box("For what work", 300)
    what = words_box(
        "What may be cut", 300, help_text="How much and from where: “5 mm² of the flesh, none of the pores”."
    )
    asked_on = day_box("Asked on")
    field_order = ("code", "person", "institution", "address", "purpose", "purpose_words", "what", "asked_on")

    def __init__(self, *args: Any, code: str = "", **kwargs: Any) -> None:
        super().__init__(*args, initial={"asked_on": today(), "code": code}, **kwargs)
        self.fields["person"].label = "Asked by"
        self.fields["institution"].required = False

    def clean_code(self) -> Part:
        read = read_parts([self.cleaned_data["code"]])
        if read.wrong:
            raise forms.ValidationError(list(read.wrong))
        return read.parts[0]


class DecisionForm(forms.Form):
    decision = forms.ChoiceField(
        label="Decision",
        choices=[("", "Choose"), ("granted", "Leave is granted"), ("refused", "Leave is refused")],
        error_messages={
            "required": "It was not said whether leave is granted. The request waits still; choose one.",
            "invalid_choice": "That is not on the list. The request waits still; choose one.",
        },
    )
    words = words_box("Conditions, or why not", 300, required=False)


class CutForm(forms.Form):
    cut_what = words_box(
        "What was cut", 200, help_text="From where and how much, as it stands on the annotation slip."
    )
    cut_by = words_box("Cut by", 120)
    cut_on = day_box("On")


class ResultForm(forms.Form):
    result = words_box("Result", 300, help_text="Where a sequence or a paper is found; or that it failed.")
