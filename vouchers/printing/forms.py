"""The form on which labels are chosen."""

from typing import Any

from django import forms

from ledger.paper.papers import PAPERS
from ledger.row_keys import key_of
from vouchers.labels.sheets import SHEET_TITLES, SHEETS


class PrintForm(forms.Form):
    sheet = forms.ChoiceField(label="What to print", choices=list(SHEET_TITLES.items()))
    paper = forms.ChoiceField(label="Paper", choices=[(code, paper.title) for code, paper in PAPERS.items()])
    vouchers = forms.TypedMultipleChoiceField(
        coerce=key_of,
        error_messages={
            "required": "No voucher was chosen. Nothing was printed; tick the packets whose labels you want.",
            "invalid_choice": "One of the vouchers is not in the register. Nothing was printed; load the page again.",
        },
    )

    def __init__(self, data: Any, *, known: list[int]) -> None:
        super().__init__(data)
        self.fields["vouchers"].choices = [(number, number) for number in known]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        sheet, paper = data.get("sheet"), data.get("paper")
        if sheet and paper and paper not in SHEETS[sheet]:
            self.add_error("paper", "That sheet is not made for this paper. Choose the other paper.")
        return data
