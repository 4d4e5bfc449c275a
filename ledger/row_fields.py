"""A field for rows that are ticked, whatever was sent in place of their keys."""

from typing import Any

from django import forms

from ledger.row_keys import key_of


class RowsField(forms.ModelMultipleChoiceField):
    """Ticked rows with whole numbers as keys. Django's own field asks the database also for a number that no column
    holds, which is an error there; here it is `invalid_pk_value` as any other key of no row.
    """

    def clean(self, value: Any) -> Any:
        for key in value or ():
            if not key_of(str(key)):
                raise forms.ValidationError(
                    self.error_messages["invalid_pk_value"],
                    code="invalid_pk_value",
                    params={"pk": str(key)[:20]},
                )
        return super().clean(value)
