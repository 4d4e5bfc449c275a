"""Boxes of the pages of parts."""

from collections.abc import Sequence
from typing import Any

from django import forms

from ledger.finds import naming
from ledger.finds.entries import NameGiven
from ledger.text_fields import PlainText
from ledger.words import english_of, later, say
from vouchers.codes import PART_KINDS
from vouchers.parts.actions import NOTE_LENGTH
from vouchers.parts.splitting import Share


class PartForm(forms.Form):
    kind = forms.ChoiceField(
        label=later("Kind"),
        choices=[
            ("", later("Choose")),
            *((kind.code, kind.label) for kind in PART_KINDS if kind.letter),
        ],
        error_messages={
            "required": later("No kind was chosen. No part was made; say what it is."),
            "invalid_choice": later("That kind is not on the list. No part was made; choose one."),
        },
    )
    note = PlainText(
        label=later("Note"),
        required=False,
        max_length=NOTE_LENGTH,
        help_text=later("What it shows or was made for: “section through the tubes, in Melzer”."),
    )


class EndPartForm(forms.Form):
    why = PlainText(
        label=later("What became of it"),
        max_length=NOTE_LENGTH,
        error_messages={
            "required": later("The reason is missing. The part was kept as it is; say what became of it.")
        },
    )


# Kept on record in English, and said again where it is shown.
_BASIS = later("sorting of a mixed collection")
MOST_SHARES = 6
ALWAYS_ASKED = 2


class SplitForm(forms.Form):
    """Up to six shares. The first two are always there; a further one counts where its name or note is filled in.

    `letters` are those that the shares will bear.
    """

    def __init__(self, *args: Any, letters: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.numbers = range(min(MOST_SHARES, len(letters)))
        for number in self.numbers:
            self.fields[f"name_{number}"] = PlainText(
                label=say("Name of share {letter}", letter=letters[number]),
                required=False,
                max_length=190,
                widget=forms.TextInput(
                    attrs={"list": "known-names", "autocomplete": "off", "spellcheck": "false"}
                ),
            )
            self.fields[f"note_{number}"] = PlainText(
                label=say("How share {letter} is known again", letter=letters[number]),
                required=False,
                max_length=400,
            )

    @property
    def first_boxes(self) -> list[forms.BoundField]:
        return self._boxes(self.numbers[:ALWAYS_ASKED])

    @property
    def further_boxes(self) -> list[forms.BoundField]:
        return self._boxes(self.numbers[ALWAYS_ASKED:])

    @property
    def has_further(self) -> bool:
        return any(box.value() for box in self.further_boxes)

    def _boxes(self, numbers: Sequence[int]) -> list[forms.BoundField]:
        return [self[f"{what}_{number}"] for number in numbers for what in ("name", "note")]

    @property
    def shares(self) -> list[Share]:
        """What was filled in. A name that is not known is kept as it was typed; the bench can look at it."""
        made = []
        for number in self.numbers:
            named = naming.read(self.cleaned_data[f"name_{number}"])
            note = self.cleaned_data[f"note_{number}"]
            if number < ALWAYS_ASKED or named.typed or note:
                name = NameGiven(
                    typed=named.written,
                    taxon=named.row,
                    qualifier=named.qualifier,
                    vernacular_typed=named.vernacular_typed,
                    basis=english_of(_BASIS) if named.typed else "",
                )
                made.append(Share(name, note))
        return made
