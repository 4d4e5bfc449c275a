"""Boxes of the pages of the store."""

import re
from typing import Any

from django import forms

from ledger.text_fields import PlainText
from vouchers.store.actions import MOST_AT_ONCE
from vouchers.store.models import PlaceKind

MOST_CODES = 1000
_AT_ONCE = f"That is no number from 1 to {MOST_AT_ONCE}. Nothing was made."
_CAPACITY = "That is no number of parts. Nothing was changed; give a whole number, or leave the box empty."


def codes_in(text: str) -> list[str]:
    """The codes of a box with one code a line; commas and semicolons part them too."""
    return [" ".join(one.split()) for one in re.split(r"[\n\r,;]+", text) if one.strip()]


class PlaceForm(forms.Form):
    kind = forms.ChoiceField(
        label="Kind",
        choices=[("", "Choose"), *PlaceKind.choices],
        error_messages={
            "required": "No kind was chosen. Nothing was made; say what it is.",
            "invalid_choice": "That kind is not on the list. Nothing was made; choose one.",
        },
    )
    name = PlainText(
        label="Name",
        max_length=70,
        help_text="As it stands on it: Cabinet 2, Box. Several at once get a number behind it.",
        error_messages={"required": "The name is missing. Nothing was made; say what stands on it."},
    )
    parent = PlainText(
        label="Stands in",
        required=False,
        max_length=80,
        help_text="Code, number or name of a place; empty: it stands by itself.",
    )
    capacity = forms.IntegerField(
        label="Holds",
        required=False,
        min_value=1,
        max_value=100_000,
        help_text="How many packets fit. Beyond that the ledger says so, and refuses nothing.",
        error_messages={"invalid": _CAPACITY, "min_value": _CAPACITY, "max_value": _CAPACITY},
    )
    count = forms.IntegerField(
        label="How many of them",
        required=False,
        min_value=1,
        max_value=MOST_AT_ONCE,
        error_messages={"invalid": _AT_ONCE, "min_value": _AT_ONCE, "max_value": _AT_ONCE},
    )


class ChangePlaceForm(forms.Form):
    name = PlainText(
        label="Name",
        max_length=80,
        error_messages={"required": "The name is missing. The place was kept as it is."},
    )
    capacity = PlaceForm.base_fields["capacity"]


class MoveForm(forms.Form):
    """Parts, and places with all in them, into one place."""

    to = PlainText(
        label="Into",
        max_length=80,
        help_text="Scan or type the place they go to: its code, its number, or its name.",
        error_messages={"required": "No place was given. Nothing was moved; scan the box or shelf first."},
    )
    codes = PlainText(
        label="What is moved",
        widget=forms.Textarea(attrs={"rows": 6, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="One code a line. A box's code moves the box with all in it.",
        error_messages={"required": "Nothing was scanned. Nothing was moved; scan the packets."},
    )
    why = PlainText(label="Why", required=False, max_length=200)

    def clean_codes(self) -> list[str]:
        codes = codes_in(self.cleaned_data["codes"])
        if len(codes) > MOST_CODES:
            raise forms.ValidationError(
                f"{len(codes):,} codes at once are too many. Nothing was moved; take at most {MOST_CODES:,}."
            )
        return codes


class MovePlaceForm(forms.Form):
    """One place into another; empty: to the top of the store."""

    to = PlainText(label="Stands in", required=False, max_length=80)
    why = PlainText(label="Why", required=False, max_length=200)


def first_error(form: forms.Form) -> Any:
    return next(iter(form.errors.values()))[0]
