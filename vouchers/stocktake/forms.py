"""Boxes of the pages of a stocktake."""

from django import forms
from django.utils.functional import lazy

from ledger.text_fields import PlainText
from ledger.words import later, say
from vouchers.stocktake.ways import WAYS
from vouchers.store.forms import MOST_CODES, codes_in

# A place of the store, which other languages call otherwise than that of a find.
_PLACE = lazy(lambda: say("Place{end}", end=""), str)()


class OpenForm(forms.Form):
    place = PlainText(
        label=_PLACE,
        max_length=80,
        help_text=later("Its code, number or name. All that stands in it belongs to the walk."),
        error_messages={
            "required": later("No place was given. No stocktake was opened; say which shelf or box.")
        },
    )


class TypedForm(forms.Form):
    """Codes typed on the page: the equal way without a camera."""

    place = PlainText(
        label=later("Seen in"),
        max_length=80,
        help_text=later("Code, number or name of the box or shelf you look at."),
        error_messages={
            "required": later("No place was given. Nothing was taken; say where these were seen.")
        },
    )
    codes = PlainText(
        label=later("Numbers seen there"),
        widget=forms.Textarea(attrs={"rows": 5, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text=later("One a line."),
        error_messages={"required": later("No number was given. Nothing was taken; type what you see.")},
    )

    def clean_codes(self) -> list[str]:
        codes = codes_in(self.cleaned_data["codes"])
        if len(codes) > MOST_CODES:
            raise forms.ValidationError(
                say(
                    "{n:,} numbers at once are too many. Nothing was taken; send at most {most:,}.",
                    n=len(codes),
                    most=MOST_CODES,
                )
            )
        return codes


class SettleForm(forms.Form):
    key = PlainText(max_length=140, widget=forms.HiddenInput)
    way = forms.ChoiceField(
        label=later("What was done"),
        required=False,
        choices=[(way.code, way.words) for ways in WAYS.values() for way in ways],
        error_messages={
            "invalid_choice": later("That way is not on the list. Nothing was settled; choose one.")
        },
    )
    reason = PlainText(label=later("Reason"), required=False, max_length=250)
    to = PlainText(label=later("It is now in"), required=False, max_length=80)


class SignOffForm(forms.Form):
    words = PlainText(label=later("Remarks"), required=False, max_length=300)


class GiveUpForm(forms.Form):
    why = PlainText(label=later("Why it is given up"), required=False, max_length=300)
