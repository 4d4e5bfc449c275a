"""A permit as it reads, and what is linked to it."""

from datetime import date
from typing import Any

from django import forms

from ledger.collecting_numbers import read_collecting_number
from ledger.days import day_text
from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.text_fields import PlainText, plain_text
from ledger.words import later, say
from vouchers.permits.models import Permit


class PermitForm(forms.ModelForm):
    class Meta:
        model = Permit
        formfield_callback = plain_text
        fields = ["issuer", "reference", "holder", "area", "valid_from", "valid_until", "limits", "source"]
        labels = {
            "issuer": later("Given by"),
            "reference": later("Its number or reference"),
            "holder": later("Held by"),
            "area": later("For which area"),
            "valid_from": later("From"),
            "valid_until": later("Until"),
            "limits": later("Limits, in its words"),
            "source": later("Where it can be read again"),
        }
        help_texts = {
            "issuer": later("The owner, the manager, the authority."),
            "holder": later("In whose name it is: the club, a member, the leader of one day."),
            "area": later("In the words of the permit."),
            "limits": later(
                "How much, which species, which ways, what must be reported: its own words, copied."
            ),
            "source": later(
                "A letter in the club's file and its date, the address of a page and the day it was read."
            ),
        }
        widgets = {
            "valid_from": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "valid_until": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "area": forms.Textarea(attrs={"rows": 2}),
            "limits": forms.Textarea(attrs={"rows": 4}),
        }

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        begins, ends = data.get("valid_from"), data.get("valid_until")
        if isinstance(begins, date) and isinstance(ends, date) and begins > ends:
            self.add_error(
                "valid_until",
                say(
                    "It ends on {ends}, before it begins on {begins}. What you typed is kept; check both days.",
                    ends=day_text(ends),
                    begins=day_text(begins),
                ),
            )
        return data


class LinkForm(forms.Form):
    """A foray chosen, or the collecting number of one find typed."""

    foray = forms.ModelChoiceField(
        Foray.objects.all(),
        label=later("A foray, with all its finds"),
        required=False,
        empty_label=later("none"),
        error_messages={
            "invalid_choice": later("That foray is not in the ledger. Nothing was changed; choose another.")
        },
    )
    number = PlainText(
        label=later("Or one find, by its collecting number"),
        max_length=20,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )

    find: Find | None = None

    def clean_number(self) -> str:
        typed = str(self.cleaned_data["number"]).strip()
        if not typed:
            return ""
        read = read_collecting_number(typed)
        code, serial, share = read or ("", 0, "")
        found = list(
            Find.objects.filter(collecting_code=code, collecting_serial=serial, collecting_suffix=share)[:2]
        )
        if read is None:
            raise forms.ValidationError(
                say(
                    "{typed} is no collecting number. Nothing was changed; type one such as PR 30.",
                    typed=typed,
                )
            )
        if not found:
            raise forms.ValidationError(
                say("No find bears {number}. Nothing was changed; check the number.", number=typed.upper())
            )
        if len(found) > 1:
            raise forms.ValidationError(
                say(
                    "More than one find bears {number}. Nothing was changed; put the numbers right first.",
                    number=typed.upper(),
                )
            )
        self.find = found[0]
        return typed

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors and bool(data.get("foray")) == bool(self.find):
            raise forms.ValidationError(
                say(
                    "Choose a foray or type the number of one find, not both and not none. Nothing was changed."
                )
            )
        return data


class EndUseForm(forms.Form):
    why = PlainText(label=later("Why it is wrong"), max_length=200, required=False)
