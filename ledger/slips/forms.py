"""How many sheets of slips, for whom, on which paper."""

import uuid
from typing import Any

from django import forms

from ledger.paper.papers import PAPERS
from ledger.paper.slips import SLIPS_A_SHEET
from ledger.people.models import Member
from ledger.phone.numbers import MOST_AT_ONCE
from ledger.text_fields import PlainText
from ledger.words import later, say

MOST_SHEETS = MOST_AT_ONCE // SLIPS_A_SHEET


class SheetsForm(forms.Form):
    """`request` is made with the page, so that a form sent twice takes one block of numbers."""

    request = forms.UUIDField(widget=forms.HiddenInput)
    finder = forms.ModelChoiceField(Member.objects.none(), label=later("Whose finds"), empty_label=None)
    sheets = forms.IntegerField(
        label=later("Sheets"),
        min_value=1,
        max_value=MOST_SHEETS,
        error_messages={
            "invalid": later("This is no number of sheets. No number was taken; type a figure, such as 5."),
            "required": later("How many sheets is not said. No number was taken; type a figure, such as 5."),
            "min_value": later("At least 1 sheet. No number was taken."),
        },
    )
    label = PlainText(
        required=False,
        max_length=80,
        # What stands there for whoever cannot see the box.
        help_text=later("To tell the sheets apart, such as a foray."),
    )

    def __init__(self, data: Any, *, member: Member) -> None:
        super().__init__(
            data, initial={"request": uuid.uuid4(), "finder": member, "sheets": 2}, label_suffix=""
        )
        # A leader hands out slips on a foray; anybody else prints their own.
        active = Member.objects.filter(is_active=True).order_by("full_name")
        self.fields["finder"].queryset = active if member.is_leader else active.filter(pk=member.pk)
        if not member.is_leader:
            self.fields["finder"].widget = forms.HiddenInput()
        sheets = self.fields["sheets"]
        sheets.widget.attrs["inputmode"] = "numeric"
        sheets.help_text = say("{n} slips on each.", n=SLIPS_A_SHEET)
        sheets.error_messages["max_value"] = say(
            "At most {most} sheets at once. No number was taken; print again for more.", most=MOST_SHEETS
        )


def paper_of(code: str | None) -> str:
    """Return the code of a paper as an address carries it; A4 for anything unknown."""
    return code if code in PAPERS else "a4"
