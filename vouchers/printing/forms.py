"""The forms on which labels are chosen."""

from collections.abc import Sequence
from typing import Any

from django import forms

from ledger.paper.papers import PAPERS
from ledger.row_fields import RowsField
from ledger.row_keys import key_of
from ledger.words import english_of, later, say
from vouchers.labels.sheets import SHEET_TITLES
from vouchers.printing.kinds import MOST, OF_VOUCHERS, ROLL
from vouchers.store.models import StorePlace

# What each sheet holds, where its title leaves a question.
SHEET_NOTES = {
    "packet": later("One sheet each, with fold lines."),
    "boxes": later("For specimens too large for a packet."),
    "slips": later(
        "One for each determination after the first; the label and earlier slips stay as they are."
    ),
    "duplicates": later(
        "For each duplicate on record. They leave the club: a sensitive place is told as its cell."
    ),
    "annotations": later("For each piece on record as cut from the specimen."),
    "tags": later("Collecting number and code, to lie by the specimen."),
    "tubes": later("For each tube, slide, spore print and piece of wood on record: code and numbers."),
}
MOST_TRAYS = 60


def _paper_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=later("Paper"),
        choices=[(code, later(english_of(paper.title))) for code, paper in PAPERS.items()],
        error_messages={
            "required": later("No paper was chosen. Nothing was printed; choose A4 or US letter."),
            "invalid_choice": later("There is no such paper. Nothing was printed; choose A4 or US letter."),
        },
    )


class PrintForm(forms.Form):
    """Labels of vouchers. `every`: all that the search on the page finds, not only those ticked; `new_only`: of them those
    labels that were never made."""

    sheet = forms.MultipleChoiceField(
        label=later("What to print"),
        choices=[(sheet, SHEET_TITLES[sheet]) for sheet in OF_VOUCHERS],
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": later("Nothing to print was chosen. Nothing was printed; tick at least one sheet."),
            "invalid_choice": later(
                "One of the sheets is not on the list. Nothing was printed; load the page again."
            ),
        },
    )
    paper = _paper_field()
    every = forms.BooleanField(required=False)
    new_only = forms.BooleanField(required=False)
    vouchers = forms.TypedMultipleChoiceField(
        required=False,
        coerce=key_of,
        error_messages={
            "invalid_choice": later(
                "One of the vouchers is not in the register. Nothing was printed; load the page again."
            ),
        },
    )

    def __init__(self, data: Any, *, known: Sequence[int]) -> None:
        super().__init__(data)
        self.fields["vouchers"].choices = [(number, number) for number in known]

    @property
    def sheets(self) -> list[dict[str, Any]]:
        """The sheets to tick, each with its note."""
        ticked = self["sheet"].value() or []
        return [
            {"code": code, "title": title, "note": SHEET_NOTES.get(code, ""), "ticked": code in ticked}
            for code, title in self.fields["sheet"].choices
        ]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        sheets = data.get("sheet", [])
        if ROLL in sheets and len(sheets) > 1:
            self.add_error(
                "sheet",
                say(
                    "A roll goes to a printer of its own. Nothing was printed; make roll and sheets one after the other."
                ),
            )
        if "vouchers" in data and not data["vouchers"] and not data.get("every"):
            self.add_error(
                "vouchers",
                say("No voucher was chosen. Nothing was printed; tick the packets whose labels you want."),
            )
        return data


class PlacesForm(forms.Form):
    """Labels of places of the store, and tags of trays, which are numbers only."""

    places = RowsField(
        queryset=StorePlace.objects.none(),
        required=False,
        error_messages={
            "invalid_choice": later(
                "One of the places is closed or not in the store. Nothing was printed; load the page again."
            ),
            "invalid_pk_value": later(
                "One of the places is not in the store. Nothing was printed; load the page again."
            ),
        },
    )
    first_tray = forms.IntegerField(label=later("First tray"), required=False, min_value=1, max_value=9999)
    last_tray = forms.IntegerField(label=later("Last tray"), required=False, min_value=1, max_value=9999)
    paper = _paper_field()
    new_only = forms.BooleanField(required=False)

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        self.fields["places"].queryset = StorePlace.objects.open()

    @property
    def trays(self) -> range:
        """The numbers of the trays asked for."""
        first, last = self.cleaned_data.get("first_tray"), self.cleaned_data.get("last_tray")
        if first is None and last is None:
            return range(0)
        return range(first or last, (last or first) + 1)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return data
        first, last = data.get("first_tray"), data.get("last_tray")
        if first is not None and last is not None and last < first:
            self.add_error(
                "last_tray", say("The last tray comes before the first. Nothing was printed; swap them.")
            )
        elif len(self.trays) > MOST_TRAYS:
            self.add_error(
                "last_tray",
                say(
                    "{n} tags are refused. Nothing was printed; ask for {most} at most.",
                    n=len(self.trays),
                    most=MOST_TRAYS,
                ),
            )
        elif not data.get("places") and not self.trays:
            raise forms.ValidationError(
                say(
                    "Neither a place nor a tray was chosen. Nothing was printed; tick a place, or say which trays."
                )
            )
        return data


def too_many(count: int) -> str:
    """Why so many labels are not made at a go."""
    return say(
        "{n} labels at once are refused. Nothing was printed; choose {most} at most, such as one year's numbers.",
        n=f"{count:,}",
        most=f"{MOST:,}",
    )
