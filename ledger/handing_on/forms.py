"""What is to be handed on, and who outside the club agreed to be named."""

from typing import Any

from django import forms

from ledger.forays.models import Foray
from ledger.handing_on.choices import KINDS, STATUS_WORDS, WHICH, Choices
from ledger.taxa.models import Taxon
from ledger.text_fields import PlainText

EARLIEST, LATEST = 1700, 9999
_YEAR = {
    "invalid": "This is no year. What you chose is kept; type four figures, such as 2026.",
    "min_value": f"A year before {EARLIEST} is no year of a find. What you chose is kept; type another.",
    "max_value": "This is no year. What you chose is kept; type four figures, such as 2026.",
}


class ChoicesForm(forms.Form):
    kind = forms.ChoiceField(
        label="What", choices=list(KINDS.items()), initial="archive", widget=forms.RadioSelect
    )
    which = forms.ChoiceField(label="Which finds", choices=list(WHICH.items()))
    year_from = forms.IntegerField(
        label="From year", required=False, min_value=EARLIEST, max_value=LATEST, error_messages=_YEAR
    )
    year_to = forms.IntegerField(
        label="To year", required=False, min_value=EARLIEST, max_value=LATEST, error_messages=_YEAR
    )
    foray = forms.ModelChoiceField(
        Foray.objects.none(),
        required=False,
        empty_label="all",
        help_text="Sensitive finds are left out of a file of one foray: it would tell where they were.",
    )
    taxon = forms.ModelChoiceField(
        Taxon.objects.none(), required=False, empty_label="all", to_field_name="slug", label="Named"
    )
    status_word = forms.ChoiceField(
        label="Word for what was found",
        choices=list(STATUS_WORDS.items()),
        help_text="Most readers of today know the older word; some take the newer one for something else.",
    )
    notes = forms.BooleanField(
        label="Notes too",
        required=False,
        help_text="Members write them freely: read them before you give them away.",
    )
    photos = forms.BooleanField(
        label="Photographs too",
        required=False,
        help_text="As copies without metadata. The file becomes large.",
    )
    permits = forms.BooleanField(
        label="Words of permits too",
        required=False,
        help_text="They name owners. Without it the file says only that a permit is on record.",
    )

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, label_suffix="", **kwargs)
        self.fields["foray"].queryset = Foray.objects.all()
        self.fields["taxon"].queryset = Taxon.objects.order_by("name")
        for name in ("year_from", "year_to"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        first, last = data.get("year_from"), data.get("year_to")
        if first is not None and last is not None and first > last:
            self.add_error(
                "year_to",
                f"{last} is before {first}, so no find is between. What you chose is kept; change one.",
            )
        return data

    def choices(self) -> Choices:
        data = dict(self.cleaned_data)
        foray, taxon = data.pop("foray"), data.pop("taxon")
        return Choices(**data, foray=foray.pk if foray else None, taxon=taxon.slug if taxon else "")


class AgreedForm(forms.Form):
    name = PlainText(max_length=120, help_text="As it is written beside the finds.")

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, label_suffix="")
