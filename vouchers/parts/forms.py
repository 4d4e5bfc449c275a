"""Boxes of the pages of parts."""

from django import forms

from ledger.text_fields import PlainText
from vouchers.codes import PART_KINDS
from vouchers.parts.actions import NOTE_LENGTH


class PartForm(forms.Form):
    kind = forms.ChoiceField(
        label="Kind",
        choices=[
            ("", "Choose"),
            *((kind.code, kind.code.capitalize()) for kind in PART_KINDS if kind.letter),
        ],
        error_messages={
            "required": "No kind was chosen. No part was made; say what it is.",
            "invalid_choice": "That kind is not on the list. No part was made; choose one.",
        },
    )
    note = PlainText(
        label="Note",
        required=False,
        max_length=NOTE_LENGTH,
        help_text="What it shows or was made for: “section through the tubes, in Melzer”.",
    )


class EndPartForm(forms.Form):
    why = PlainText(
        label="What became of it",
        max_length=NOTE_LENGTH,
        error_messages={
            "required": "The reason is missing. The part was kept as it is; say what became of it."
        },
    )
