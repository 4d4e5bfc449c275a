"""What is to be handed on, and who outside the club agreed to be named."""

from typing import Any

from django import forms

from ledger.forays.models import Foray
from ledger.handing_on.choices import KINDS, STATUS_WORDS, WHICH, Choices
from ledger.taxa.models import Taxon
from ledger.text_fields import PlainText
from ledger.words import later, say

EARLIEST, LATEST = 1700, 9999
_YEAR = {
    "invalid": later("This is no year. What you chose is kept; type four figures, such as 2026."),
    "min_value": later(
        "A year before %(limit_value)s is no year of a find. What you chose is kept; type another."
    ),
    "max_value": later("This is no year. What you chose is kept; type four figures, such as 2026."),
}


class ChoicesForm(forms.Form):
    kind = forms.ChoiceField(
        label=later("What"), choices=list(KINDS.items()), initial="archive", widget=forms.RadioSelect
    )
    which = forms.ChoiceField(label=later("Which finds"), choices=list(WHICH.items()))
    year_from = forms.IntegerField(
        label=later("From year"), required=False, min_value=EARLIEST, max_value=LATEST, error_messages=_YEAR
    )
    year_to = forms.IntegerField(
        label=later("To year"), required=False, min_value=EARLIEST, max_value=LATEST, error_messages=_YEAR
    )
    foray = forms.ModelChoiceField(
        Foray.objects.none(),
        required=False,
        label=later("Foray"),
        empty_label=later("all"),
        help_text=later(
            "Sensitive finds are left out of a file of one foray: it would tell where they were."
        ),
    )
    taxon = forms.ModelChoiceField(
        Taxon.objects.none(),
        required=False,
        empty_label=later("all"),
        to_field_name="slug",
        label=later("Named"),
    )
    status_word = forms.ChoiceField(
        label=later("Word for what was found"),
        choices=list(STATUS_WORDS.items()),
        help_text=later(
            "Most readers of today know the older word; some take the newer one for something else."
        ),
    )
    notes = forms.BooleanField(
        label=later("Notes too"),
        required=False,
        help_text=later("Members write them freely: read them before you give them away."),
    )
    photos = forms.BooleanField(
        label=later("Photographs too"),
        required=False,
        help_text=later("As copies without metadata. The file becomes large."),
    )
    permits = forms.BooleanField(
        label=later("Words of permits too"),
        required=False,
        help_text=later("They name owners. Without it the file says only that a permit is on record."),
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
                say(
                    "{last} is before {first}, so no find is between. What you chose is kept; change one.",
                    last=last,
                    first=first,
                ),
            )
        return data

    def choices(self) -> Choices:
        data = dict(self.cleaned_data)
        foray, taxon = data.pop("foray"), data.pop("taxon")
        return Choices(**data, foray=foray.pk if foray else None, taxon=taxon.slug if taxon else "")


class AgreedForm(forms.Form):
    name = PlainText(
        max_length=120, label=later("Name"), help_text=later("As it is written beside the finds.")
    )

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, label_suffix="")
