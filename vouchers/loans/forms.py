"""Boxes of the pages of loans."""

from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from ledger.text_fields import PlainText
from vouchers.loans.actions import CONDITION_WORDS, WORDS
from vouchers.loans.borrowing import ItemIn, item_of_line
from vouchers.loans.codes_box import MOST_CODES, lines_of, read_parts
from vouchers.loans.due import usual_due
from vouchers.loans.models import Moment
from vouchers.loans.terms import USUAL_TERMS
from vouchers.parts.models import Part

_DAY_WRONG = "That is no date. Nothing was kept on record, and your words stand below; enter a day, such as 2026-10-03."


def today() -> date:
    return timezone.localtime().date()


def day_box(label: str, *, help_text: str = "", **given: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": f"The day is missing: {label.lower()}.", "invalid": _DAY_WRONG},
        **given,
    )


def words_box(
    label: str, length: int, *, help_text: str = "", required: bool = True, rows: int = 0
) -> PlainText:
    box = forms.Textarea(attrs={"rows": rows}) if rows else forms.TextInput()
    return PlainText(
        label=label,
        max_length=length,
        required=required,
        help_text=help_text,
        widget=box,
        error_messages={
            "required": f"This is missing: {label[0].lower()}{label[1:]}. Nothing was written yet; fill it in."
        },
    )


class PartyForm(forms.Form):
    """Who is at the other end."""

    institution = words_box("Institution", 160)
    person = words_box("Person", 120)
    address = words_box("Address", 600, rows=3, required=False)


class PartsBox(PlainText):
    """A box of codes, one on a line. Cleans to parts; each line that names none is an error of its own."""

    widget = forms.Textarea(
        attrs={"rows": 5, "spellcheck": "false", "autocapitalize": "characters", "data-codes": ""}
    )

    def clean(self, value: Any) -> tuple[Part, ...]:  # type: ignore[override]
        lines = lines_of(super().clean(value))
        if len(lines) > MOST_CODES:
            raise forms.ValidationError(
                f"{len(lines)} codes at once are too many; {MOST_CODES} go on one list. Nothing was written; make two of it."
            )
        read = read_parts(lines)
        if read.wrong:
            raise forms.ValidationError(list(read.wrong))
        return read.parts


def codes_box(help_text: str, *, required: bool = True) -> PartsBox:
    return PartsBox(
        label="Codes, one a line",
        required=required,
        help_text=help_text,
        error_messages={"required": "No code was given. Nothing was written; scan or type one code a line."},
    )


class LoanForm(PartyForm):
    """A loan to somebody."""

    used_by = words_box("Who will study it", 120, required=False, help_text="Where that is somebody else.")
    purpose = words_box("Purpose", 300)
    codes = codes_box("Scan or type the code of each part that goes. A bare number is the packet.")
    condition = words_box(
        "Condition as they leave",
        CONDITION_WORDS,
        help_text="In words that hold for all: “whole, margins sound”. More on one of them goes on its page, with photos.",
    )
    lent_on = day_box("Leaves on")
    due_on = day_box("Due back on", help_text="Six months as a rule.")
    terms = words_box("Terms", 4000, rows=12)
    field_order = (
        "codes",
        "condition",
        "institution",
        "person",
        "address",
        "used_by",
        "purpose",
        "lent_on",
        "due_on",
        "terms",
    )

    def __init__(self, *args: Any, codes: str = "", **kwargs: Any) -> None:
        day = today()
        usual = {"lent_on": day, "due_on": usual_due(day), "terms": USUAL_TERMS, "codes": codes}
        super().__init__(*args, initial=usual, **kwargs)
        self.fields["person"].label = "Asked by"
        self.fields["person"].help_text = "The head of the institution, who answers for the loan."


class ReturnForm(forms.Form):
    """What came back. The ticks of the page are read by the view's helper; here is what is scanned or typed."""

    codes = codes_box("Scan or type what came back, or tick it below.", required=False)
    condition = words_box(
        "Condition of those without words of their own",
        CONDITION_WORDS,
        required=False,
        help_text="“As it left”, “beetle dust in the packet”, “margin broken, pieces in the packet”.",
    )
    came_on = day_box("Came back on", required=False, help_text="The day the parcel came.")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"came_on": today()}, **kwargs)


class ProlongForm(forms.Form):
    due_on = day_box("New due date")
    why = words_box("Who asked for it, and why", WORDS)


class LongerForm(ProlongForm):
    """More time that the lender gave us."""

    why = words_box("Who gave it, and how", WORDS, help_text="“Dr Reed, by mail of 3 March”.")


class ReminderForm(forms.Form):
    sent_on = day_box("Sent on")


class MultiplePhotos(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Any number of files; what each is, the photo door says."""

    widget = MultiplePhotos(attrs={"accept": "image/*"})

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        # An empty file is refused by the photo door, with the sentence that a photo gets.
        return [file for file in data or [] if file]


class ConditionForm(forms.Form):
    moment = forms.ChoiceField(
        label="When",
        choices=Moment.choices,
        error_messages={"required": "It was not said when. Nothing was noted; choose one."},
    )
    words = words_box("Condition", CONDITION_WORDS, rows=2)
    photos = PhotosField(label="Photos", required=False)


class LostForm(forms.Form):
    words = words_box(
        "What is known of it", WORDS, help_text="What the borrower wrote, or why it is given up."
    )


class BorrowingForm(PartyForm):
    """A loan from somebody."""

    their_number = words_box("Their number of the loan", 60, required=False)
    purpose = words_box("Purpose", 300)
    items = words_box(
        "Specimens, one a line",
        60_000,
        rows=6,
        help_text="The number on the packet; behind bars, if you like, name and condition: "
        "K(M) 21040 | Trametes gibbosa | sound",
    )
    received_on = day_box("Came on")
    due_on = day_box("Due back on")
    terms = words_box("Their terms", 4000, rows=4, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"received_on": today()}, **kwargs)
        self.fields["institution"].label = "Lender"
        self.fields["person"].label = "Person there"

    def clean_items(self) -> list[ItemIn]:
        lines = (line.strip() for line in self.cleaned_data["items"].splitlines())
        return [item_of_line(line) for line in lines if line]
