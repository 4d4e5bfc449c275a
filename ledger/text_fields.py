"""The text box of every form in the house: what no eye can see never gets past it."""

from typing import Any

from django import forms
from django.db import models

from ledger.record.public_id import PublicIdError, read_public_id
from ledger.record.visible import visible


class PlainText(forms.CharField):
    """A text without invisible signs. Lines are kept where the box has lines."""

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str):
            value = visible(value, lines=isinstance(self.widget, forms.Textarea))
        return super().to_python(value)


class PublicIdText(PlainText):
    """A public identifier, such as an ORCID; its value is the address it stands for."""

    def clean(self, value: Any) -> str:
        try:
            return read_public_id(str(super().clean(value)))
        except PublicIdError as error:
            raise forms.ValidationError(str(error)) from None


def plain_text(column: "models.Field[Any, Any]", **given: Any) -> forms.Field | None:
    """The form field of a column, for `formfield_callback` of a ModelForm: texts are PlainText."""
    if isinstance(column, models.CharField | models.TextField) and not column.choices:
        given.setdefault("form_class", PlainText)
    return column.formfield(**given)
