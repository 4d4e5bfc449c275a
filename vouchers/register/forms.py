"""Boxes of the register's pages."""

from typing import Any
from uuid import UUID

from django import forms

from ledger.text_fields import PlainText
from ledger.words import later
from vouchers.register.queries import without_number
from vouchers.register.reasons import REASONS

# A page of ticks that can be read through; the next come up when these have their numbers.
MOST_AT_ONCE = 100
_WORDS = forms.Textarea(attrs={"rows": 3, "maxlength": 400})


class DeaccessionForm(forms.Form):
    reason = forms.ChoiceField(
        label=later("Reason"),
        choices=[("", later("Choose")), *REASONS.items()],
        error_messages={
            "required": later("No reason was chosen. The voucher stays in the collection; choose one."),
            "invalid_choice": later(
                "That reason is not on the list. The voucher stays in the collection; choose one."
            ),
        },
    )
    words = PlainText(
        label=later("In words"),
        help_text=later(
            "What became of the specimen, and where it went if it went anywhere. It stands in the register for good."
        ),
        max_length=400,
        widget=_WORDS,
        error_messages={
            "required": later(
                "The words are missing. The voucher stays in the collection; say what became of the specimen."
            )
        },
    )


class TakeBackForm(forms.Form):
    words = PlainText(
        label=later("How it came back"),
        help_text=later("It stands in the register for good."),
        max_length=400,
        widget=_WORDS,
        error_messages={
            "required": later(
                "The words are missing. The voucher stays deaccessioned; say how the specimen came back."
            )
        },
    )


class _Finds(forms.ModelMultipleChoiceField):
    """Ticked finds. Django's own field answers a key that is no UUID in words of its own."""

    def clean(self, value: Any) -> Any:
        try:
            keys = [UUID(text) for text in value or ()]
        except ValueError:
            raise forms.ValidationError(self.error_messages["invalid_pk_value"]) from None
        return super().clean(keys)


class WithoutNumberForm(forms.Form):
    """The finds that were ticked, of those that are settled and have no number."""

    find = _Finds(
        without_number(),
        error_messages={
            "required": later("No find was ticked. No number was given; tick those whose packets are here."),
            "invalid_choice": later(
                "One of the finds has its number already, or is no longer settled. No number was given; look "
                "at the list as it stands now."
            ),
            "invalid_pk_value": later(
                "One of the finds is not in the ledger. No number was given; tick them again."
            ),
        },
    )

    @property
    def chosen(self) -> list[UUID]:
        return [find.pk for find in self.cleaned_data["find"]]
