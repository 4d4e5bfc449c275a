"""Boxes of the pages of the store."""

import re
from typing import Any

from django import forms
from django.utils.functional import lazy

from ledger.text_fields import PlainText
from ledger.words import later, say
from vouchers.store.actions import MOST_AT_ONCE
from vouchers.store.models import PlaceKind

MOST_CODES = 1000
_AT_ONCE = lazy(
    lambda: say("That is no number from 1 to {most}. Nothing was made.", most=MOST_AT_ONCE), str
)()
_CAPACITY = later(
    "That is no number of parts. Nothing was changed; give a whole number, or leave the box empty."
)


def codes_in(text: str) -> list[str]:
    """The codes of a box with one code a line; commas and semicolons part them too."""
    return [" ".join(one.split()) for one in re.split(r"[\n\r,;]+", text) if one.strip()]


class PlaceForm(forms.Form):
    kind = forms.ChoiceField(
        label=later("Kind"),
        choices=[("", later("Choose")), *PlaceKind.choices],
        error_messages={
            "required": later("No kind was chosen. Nothing was made; say what it is."),
            "invalid_choice": later("That kind is not on the list. Nothing was made; choose one."),
        },
    )
    name = PlainText(
        label=later("Name"),
        max_length=70,
        help_text=later("As it stands on it: Cabinet 2, Box. Several at once get a number behind it."),
        error_messages={"required": later("The name is missing. Nothing was made; say what stands on it.")},
    )
    parent = PlainText(
        label=later("Stands in"),
        required=False,
        max_length=80,
        help_text=later("Code, number or name of a place; empty: it stands by itself."),
    )
    capacity = forms.IntegerField(
        label=later("Holds"),
        required=False,
        min_value=1,
        max_value=100_000,
        help_text=later("How many packets fit. Beyond that the ledger says so, and refuses nothing."),
        error_messages={"invalid": _CAPACITY, "min_value": _CAPACITY, "max_value": _CAPACITY},
    )
    count = forms.IntegerField(
        label=later("How many of them"),
        required=False,
        min_value=1,
        max_value=MOST_AT_ONCE,
        error_messages={"invalid": _AT_ONCE, "min_value": _AT_ONCE, "max_value": _AT_ONCE},
    )


class ChangePlaceForm(forms.Form):
    name = PlainText(
        label=later("Name"),
        max_length=80,
        error_messages={"required": later("The name is missing. The place was kept as it is.")},
    )
    capacity = PlaceForm.base_fields["capacity"]


class MoveForm(forms.Form):
    """Parts, and places with all in them, into one place."""

    to = PlainText(
        label=later("Into"),
        max_length=80,
        help_text=later("Scan or type the place they go to: its code, its number, or its name."),
        error_messages={
            "required": later("No place was given. Nothing was moved; scan the box or shelf first.")
        },
    )
    codes = PlainText(
        label=later("What is moved"),
        widget=forms.Textarea(attrs={"rows": 6, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text=later("One code a line. A box's code moves the box with all in it."),
        error_messages={"required": later("Nothing was scanned. Nothing was moved; scan the packets.")},
    )
    why = PlainText(label=later("Why"), required=False, max_length=200)

    def clean_codes(self) -> list[str]:
        codes = codes_in(self.cleaned_data["codes"])
        if len(codes) > MOST_CODES:
            raise forms.ValidationError(
                say(
                    "{n:,} codes at once are too many. Nothing was moved; take at most {most:,}.",
                    n=len(codes),
                    most=MOST_CODES,
                )
            )
        return codes


class MovePlaceForm(forms.Form):
    """One place into another; empty: to the top of the store."""

    to = PlainText(label=later("Stands in"), required=False, max_length=80)
    why = PlainText(label=later("Why"), required=False, max_length=200)


def first_error(form: forms.Form) -> Any:
    return next(iter(form.errors.values()))[0]
