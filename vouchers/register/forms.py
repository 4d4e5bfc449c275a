"""Boxes of the register's pages."""

from django import forms

from ledger.text_fields import PlainText
from vouchers.register.reasons import REASONS

_WORDS = forms.Textarea(attrs={"rows": 3, "maxlength": 400})


class DeaccessionForm(forms.Form):
    reason = forms.ChoiceField(
        label="Reason",
        choices=[("", "Choose"), *REASONS.items()],
        error_messages={
            "required": "No reason was chosen. The voucher stays in the collection; choose one.",
            "invalid_choice": "That reason is not on the list. The voucher stays in the collection; choose one.",
        },
    )
    words = PlainText(
        label="In words",
        help_text="What became of the specimen, and where it went if it went anywhere. It stands in the register for good.",
        max_length=400,
        widget=_WORDS,
        error_messages={
            "required": "The words are missing. The voucher stays in the collection; say what became of the specimen."
        },
    )


class TakeBackForm(forms.Form):
    words = PlainText(
        label="How it came back",
        help_text="It stands in the register for good.",
        max_length=400,
        widget=_WORDS,
        error_messages={
            "required": "The words are missing. The voucher stays deaccessioned; say how the specimen came back."
        },
    )
