"""Boxes of the pages of a stocktake."""

from django import forms

from ledger.text_fields import PlainText
from vouchers.stocktake.ways import WAYS
from vouchers.store.forms import MOST_CODES, codes_in


class OpenForm(forms.Form):
    place = PlainText(
        label="Place",
        max_length=80,
        help_text="Its code, number or name. All that stands in it belongs to the walk.",
        error_messages={"required": "No place was given. No stocktake was opened; say which shelf or box."},
    )


class TypedForm(forms.Form):
    """Codes typed on the page: the equal way without a camera."""

    place = PlainText(
        label="Seen in",
        max_length=80,
        help_text="Code, number or name of the box or shelf you look at.",
        error_messages={"required": "No place was given. Nothing was taken; say where these were seen."},
    )
    codes = PlainText(
        label="Numbers seen there",
        widget=forms.Textarea(attrs={"rows": 5, "autocapitalize": "characters", "spellcheck": "false"}),
        help_text="One a line.",
        error_messages={"required": "No number was given. Nothing was taken; type what you see."},
    )

    def clean_codes(self) -> list[str]:
        codes = codes_in(self.cleaned_data["codes"])
        if len(codes) > MOST_CODES:
            raise forms.ValidationError(
                f"{len(codes):,} numbers at once are too many. Nothing was taken; send at most {MOST_CODES:,}."
            )
        return codes


class SettleForm(forms.Form):
    key = PlainText(max_length=140, widget=forms.HiddenInput)
    way = forms.ChoiceField(
        label="What was done",
        required=False,
        choices=[(way.code, way.words) for ways in WAYS.values() for way in ways],
        error_messages={"invalid_choice": "That way is not on the list. Nothing was settled; choose one."},
    )
    reason = PlainText(label="Reason", required=False, max_length=250)
    to = PlainText(label="It is now in", required=False, max_length=80)


class SignOffForm(forms.Form):
    words = PlainText(label="Remarks", required=False, max_length=300)


class GiveUpForm(forms.Form):
    why = PlainText(label="Why it is given up", required=False, max_length=300)
