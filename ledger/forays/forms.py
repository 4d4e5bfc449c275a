"""A leader's form of a foray."""

from django import forms

from ledger.forays.models import Foray
from ledger.people.models import Member, Role
from ledger.text_fields import plain_text
from ledger.words import later


class ForayForm(forms.ModelForm):
    class Meta:
        model = Foray
        formfield_callback = plain_text
        fields = ["name", "held_on", "place", "leader", "permission", "note"]
        labels = {
            "name": later("Name"),
            "held_on": later("Date"),
            "place": later("Place"),
            "leader": later("Leader"),
            "permission": later("Permission"),
            "note": later("Note"),
        }
        help_texts = {
            "permission": later(
                "Who gave it, its number, its limits and dates. It goes onto the labels of this foray."
            )
        }
        widgets = {"held_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["leader"].queryset = (
            Member.objects.filter(is_active=True).exclude(role=Role.MEMBER).order_by("full_name")
        )
