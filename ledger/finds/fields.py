"""Form fields that read what people type in a wood: decimal comma and point, empty is empty, unclear is refused."""

import math
import re
from typing import Any

from django import forms

from ledger.text_fields import PlainText
from ledger.words import english_of, say

_NUMBER = re.compile(r"[-+]?(?:\d+(?:[.,]\d+)?|[.,]\d+)")
_MINUS = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " "})


class NumberText(PlainText):
    """A number in a text box; gives a float, or None where nothing was typed: empty is never 0.

    `1,234` is refused with both readings shown. The unit may be typed after the number where it is the field's own.
    The phone reads by the same rule (static/js/log/typed_number.js), from `unit`, `least`, `most` and `is_whole`.
    """

    is_whole = False

    def __init__(
        self, *, unit: str, least: float | None = None, most: float | None = None, **kwargs: Any
    ) -> None:
        super().__init__(required=False, max_length=40, **kwargs)
        self.unit, self.least, self.most = unit, least, most
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}

    def clean(self, value: Any) -> Any:
        text = super().clean(value).translate(_MINUS).strip().lstrip("±").strip()
        units = (str(self.unit), english_of(self.unit))
        unit = next((one for one in units if text.lower().endswith(one.lower())), "")
        text = text[: len(text) - len(unit)].strip()
        if not text:
            return None
        if re.fullmatch(r"[-+]?\d{1,3},\d{3}", text):
            raise forms.ValidationError(
                say(
                    "{text} can be {decimal} or {whole}. It was kept as typed; type it without the comma.",
                    text=text,
                    decimal=text.replace(",", "."),
                    whole=text.replace(",", ""),
                )
            )
        if not _NUMBER.fullmatch(text):
            raise forms.ValidationError(
                say(
                    "“{text}” is not read as a number of {unit}. It was kept as typed; type digits only, such as "
                    "12,5.",
                    text=text,
                    unit=self.unit,
                )
            )
        number = float(text.replace(",", "."))
        self._within(number)
        return number

    def _within(self, number: float) -> None:
        low, high = self.least, self.most
        if (
            not math.isfinite(number)
            or (low is not None and number < low)
            or (high is not None and number > high)
        ):
            allowed = (
                say("{low} to {high}", low=f"{low:g}", high=f"{high:g}")
                if low is not None and high is not None
                else say("{low} or more", low=f"{low:g}")
            )
            raise forms.ValidationError(
                say(
                    "{number} {unit} cannot be stored; {allowed} can. It was kept as typed; correct it here.",
                    number=f"{number:g}",
                    unit=self.unit,
                    allowed=allowed,
                )
            )


class CountText(NumberText):
    """A whole number, or None."""

    is_whole = True

    def clean(self, value: Any) -> Any:
        number = super().clean(value)
        if number is None:
            return None
        if number != int(number):
            raise forms.ValidationError(
                say(
                    "{number} is not a whole number. It was kept as typed; type whole {unit}.",
                    number=f"{number:g}",
                    unit=self.unit,
                )
            )
        return int(number)
