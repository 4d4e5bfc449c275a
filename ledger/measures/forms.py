"""The form of a card's 50 mm line, as measured with a ruler."""

import re
from typing import Any

from django import forms

from ledger.measuring.card import CHECK_LINE_MM
from ledger.text_fields import PlainText
from ledger.words import later, say

# A print made to fit another paper is 3 to 10 % off; beyond a fifth it is no print of this card (our own judgement).
LINE_MM = (40.0, 60.0)
# With what the line is read, and to what fraction of a millimetre.
READ_WITH = (
    ("0.5", later("a ruler in mm, read to half a millimetre")),
    ("0.1", later("a calliper, read to a tenth")),
)
_TENTHS = re.compile(r"[0-9]{1,3}(?:[.,][0-9])?")


class LineForm(forms.Form):
    line_mm = PlainText(
        label=later("The 50 mm line measures, mm"),
        help_text=later("Lay a ruler on the line between the black squares of your card."),
        max_length=20,
        error_messages={
            "required": later(
                "How long the line is was not said. The scale stays as it is. Type it, such as 49.2."
            ),
            "max_length": later("That is no length. The scale stays as it is. Type it in mm, such as 49.2."),
        },
    )
    read_to_mm = forms.TypedChoiceField(
        label=later("Measured with"),
        choices=READ_WITH,
        coerce=float,
        error_messages={"invalid_choice": later("Say what it was measured with. The scale stays as it is.")},
    )

    def __init__(self, data: Any = None, *, line_mm: float | None = None) -> None:
        super().__init__(data, label_suffix="", initial={"line_mm": f"{line_mm:g}" if line_mm else ""})
        self.fields["line_mm"].widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "size": "6"}

    def clean_line_mm(self) -> float:
        typed = str(self.cleaned_data["line_mm"]).removesuffix("mm").strip()
        if not _TENTHS.fullmatch(typed):
            raise forms.ValidationError(
                say(
                    "“{typed}” is no length to a tenth of a millimetre. The scale stays as it is. "
                    "Type it in mm, such as 49.2.",
                    typed=typed[:20],
                )
            )
        line_mm = float(typed.replace(",", "."))
        if not LINE_MM[0] <= line_mm <= LINE_MM[1]:
            raise forms.ValidationError(
                say(
                    "A line of {line} mm that measures {measured} mm is no print of this card: {least} to {most} can be. "
                    "The scale stays as it is. Measure again, or print the card anew at 100 %.",
                    line=f"{CHECK_LINE_MM:g}",
                    measured=f"{line_mm:g}",
                    least=f"{LINE_MM[0]:g}",
                    most=f"{LINE_MM[1]:g}",
                )
            )
        return line_mm
