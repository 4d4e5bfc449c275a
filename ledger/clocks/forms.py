"""The form of a photographed clock: the time it shows, and the photos that it sets right."""

from datetime import datetime
from typing import Any

from django import forms

from ledger.finds.models import Photo
from ledger.words import later


class ClockForm(forms.Form):
    shown_on = forms.DateField(
        label=later("Date on the clock"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    shown_at = forms.TimeField(
        label=later("Time on the clock"),
        widget=forms.TimeInput(attrs={"type": "time", "step": "1"}, format="%H:%M:%S"),
        help_text=later("As the photo shows it, with the seconds where it shows them."),
    )
    photos = forms.ModelMultipleChoiceField(
        queryset=Photo.objects.none(), required=True, label=later("Photos that it sets right")
    )

    def __init__(self, *args: Any, photos: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["photos"].queryset = photos

    @property
    def shown(self) -> datetime:
        """The moment as typed; no zone."""
        return datetime.combine(self.cleaned_data["shown_on"], self.cleaned_data["shown_at"])
