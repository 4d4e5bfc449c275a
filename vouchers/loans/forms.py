"""Boxes of the pages of loans."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.functional import lazy

from ledger.languages import of_the_club
from ledger.text_fields import PlainText
from ledger.words import Said, later, lowered, say
from vouchers.loans.actions import CONDITION_WORDS, WORDS, not_here, wrong_days
from vouchers.loans.borrowing import ItemIn, item_of_line
from vouchers.loans.codes_box import MOST_CODES, lines_of, read_parts
from vouchers.loans.due import usual_due
from vouchers.loans.models import Moment
from vouchers.loans.terms import usual_terms
from vouchers.parts.models import Part

_DAY_WRONG = later(
    "That is no date. Nothing was kept on record, and your words stand below; enter a day, such as 2026-10-03."
)


def _day_missing(label: str) -> Said:
    return say("The day is missing: {label}.", label=lowered(_as_text(label)))


def _words_missing(label: str) -> Said:
    return say(
        "This is missing: {label}. Nothing was written yet; fill it in.", label=lowered(_as_text(label))
    )


def _as_text(label: str) -> str:
    """A label may be said later by Django's own way, which is no text yet."""
    return label if isinstance(label, str) else str(label)


# Made with the form, before anybody reads them.
_day_missing_later, _words_missing_later = lazy(_day_missing, str), lazy(_words_missing, str)


def today() -> date:
    return timezone.localtime().date()


def day_box(label: str, *, help_text: str = "", **given: Any) -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": _day_missing_later(label), "invalid": _DAY_WRONG},
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
        error_messages={"required": _words_missing_later(label)},
    )


def _call(box: forms.Field, label: str) -> None:
    """Give a box another label, which what is missing is then called by."""
    box.label = label
    box.error_messages["required"] = _words_missing_later(label)


class PartyForm(forms.Form):
    """Who is at the other end."""

    institution = words_box(later("Institution"), 160)
    person = words_box(later("Person"), 120)
    address = words_box(later("Address"), 600, rows=3, required=False)


class PartsBox(PlainText):
    """A box of codes, one on a line. Cleans to parts; each line that names none is an error of its own."""

    widget = forms.Textarea(
        attrs={"rows": 5, "spellcheck": "false", "autocapitalize": "characters", "data-codes": ""}
    )
    # What else is wrong with the parts that were read, told together with the lines that were not.
    wrong_with: Callable[[Sequence[Part]], Sequence[str]] = staticmethod(lambda parts: [])

    def clean(self, value: Any) -> tuple[Part, ...]:  # type: ignore[override]
        lines = lines_of(super().clean(value))
        if len(lines) > MOST_CODES:
            raise forms.ValidationError(
                say(
                    "{n} codes at once are too many; {most} go on one list. Nothing was written; make two of it.",
                    n=len(lines),
                    most=MOST_CODES,
                )
            )
        read = read_parts(lines)
        wrong = [*read.wrong, *self.wrong_with(read.parts)]
        if wrong:
            raise forms.ValidationError(wrong)
        return read.parts


class LeavingPartsBox(PartsBox):
    """Parts that are to leave the house."""

    wrong_with = staticmethod(not_here)


def codes_box(help_text: str, *, required: bool = True, kind: type[PartsBox] = PartsBox) -> PartsBox:
    return kind(
        label=later("Codes, one a line"),
        required=required,
        help_text=help_text,
        error_messages={
            "required": later("No code was given. Nothing was written; scan or type one code a line.")
        },
    )


class LoanForm(PartyForm):
    """A loan to somebody."""

    used_by = words_box(
        later("Who will study it"), 120, required=False, help_text=later("Where that is somebody else.")
    )
    purpose = words_box(later("Purpose"), 300)
    codes = codes_box(
        later("Scan or type the code of each part that goes. A bare number is the packet."),
        kind=LeavingPartsBox,
    )
    condition = words_box(
        later("Condition as they leave"),
        CONDITION_WORDS,
        help_text=later(
            "In words that hold for all: “whole, margins sound”. More on one of them goes on its page, with photos."
        ),
    )
    lent_on = day_box(later("Leaves on"))
    due_on = day_box(later("Due back on"), help_text=later("Six months as a rule."))
    terms = words_box(later("Terms"), 4000, rows=12)
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
        # They go to the borrower, with the form.
        with of_the_club():
            terms = usual_terms()
        usual = {"lent_on": day, "due_on": usual_due(day), "terms": terms, "codes": codes}
        super().__init__(*args, initial=usual, **kwargs)
        _call(self.fields["person"], later("Asked by"))
        self.fields["person"].help_text = later("The head of the institution, who answers for the loan.")

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean()
        if cleaned.get("lent_on") and cleaned.get("due_on"):
            for box, wrong in wrong_days(cleaned["lent_on"], cleaned["due_on"], today()).items():
                self.add_error(box, wrong)
        return cleaned


class ReturnForm(forms.Form):
    """What came back. The ticks of the page are read by the view's helper; here is what is scanned or typed."""

    codes = codes_box(later("Scan or type what came back, or tick it below."), required=False)
    condition = words_box(
        later("Condition of those without words of their own"),
        CONDITION_WORDS,
        required=False,
        help_text=later("“As it left”, “beetle dust in the packet”, “margin broken, pieces in the packet”."),
    )
    came_on = day_box(later("Came back on"), required=False, help_text=later("The day the parcel came."))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"came_on": today()}, **kwargs)


class ProlongForm(forms.Form):
    due_on = day_box(later("New due date"))
    why = words_box(later("Who asked for it, and why"), WORDS)


class LongerForm(ProlongForm):
    """More time that the lender gave us."""

    why = words_box(later("Who gave it, and how"), WORDS, help_text=later("“Dr Reed, by mail of 3 March”."))


class ReminderForm(forms.Form):
    sent_on = day_box(later("Sent on"))


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
        label=later("When"),
        choices=Moment.choices,
        error_messages={"required": later("It was not said when. Nothing was noted; choose one.")},
    )
    words = words_box(later("Condition"), CONDITION_WORDS, rows=2)
    photos = PhotosField(label=later("Photos"), required=False)


class LostForm(forms.Form):
    words = words_box(
        later("What is known of it"),
        WORDS,
        help_text=later("What the borrower wrote, or why it is given up."),
    )


class BorrowingForm(PartyForm):
    """A loan from somebody."""

    their_number = words_box(later("Their number of the loan"), 60, required=False)
    purpose = words_box(later("Purpose"), 300)
    items = words_box(
        later("Specimens, one a line"),
        60_000,
        rows=6,
        help_text=later(
            "The number on the packet; behind bars, if you like, name and condition: "
            "K(M) 21040 | Trametes gibbosa | sound"
        ),
    )
    received_on = day_box(later("Came on"))
    due_on = day_box(later("Due back on"))
    terms = words_box(later("Their terms"), 4000, rows=4, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, initial={"received_on": today()}, **kwargs)
        _call(self.fields["institution"], later("Lender"))
        _call(self.fields["person"], later("Person there"))

    def clean_items(self) -> list[ItemIn]:
        lines = (line.strip() for line in self.cleaned_data["items"].splitlines())
        return [item_of_line(line) for line in lines if line]
