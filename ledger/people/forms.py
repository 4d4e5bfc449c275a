"""Forms of the people room."""

import unicodedata
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password
from django.http import HttpRequest

from ledger.people.models import Member, Role
from ledger.record.visible import as_read
from ledger.text_fields import PlainText, PublicIdText, plain_text
from ledger.words import later, say


class _NameOnRecord(forms.ModelForm):
    """A full name that stands for one person: no other member's, and nothing in it that no font can draw."""

    class Meta:
        formfield_callback = plain_text

    def clean_full_name(self) -> str:
        name = " ".join(unicodedata.normalize("NFC", str(self.cleaned_data["full_name"])).split())
        if any(unicodedata.category(sign) in ("Cn", "Co") for sign in name):
            raise forms.ValidationError(
                say(
                    "The name holds signs that cannot be seen. What you typed is kept; type it anew, without "
                    "copying."
                )
            )
        others = Member.objects.exclude(pk=self.instance.pk).values_list("full_name", flat=True)
        if as_read(name) in {as_read(other) for other in others}:
            raise forms.ValidationError(
                say(
                    "Another member is called {name}. What you typed is kept; add an initial, so that labels tell "
                    "you apart.",
                    name=name,
                )
            )
        return name


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": (
            later(
                "Name and password do not go together. Nothing was changed; check both and try again. After "
                "ten wrong tries this name rests for a quarter of an hour."
            )
        ),
        "inactive": later("This membership has ended. Your finds are kept; ask the keeper of your club."),
    }

    def __init__(self, request: HttpRequest | None = None, *args: Any, **kwargs: Any) -> None:
        super().__init__(request, *args, **kwargs)
        self.fields["username"].label = later("Sign-in name")
        self.fields["username"].widget.attrs.update(autocapitalize="none", autocomplete="username")

    def clean_username(self) -> str:
        return str(self.cleaned_data["username"]).strip().lower()


class JoinForm(_NameOnRecord):
    password = forms.CharField(
        label=later("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        strip=False,
        help_text=later("Ten characters or more; not a common one."),
    )

    class Meta(_NameOnRecord.Meta):
        model = Member
        fields = ["full_name", "collector_code", "sign_in_name"]
        labels = {
            "full_name": later("Full name"),
            "collector_code": later("Collector's code"),
            "sign_in_name": later("Sign-in name"),
        }
        help_texts = {
            "full_name": later("As it should stand on labels, after “coll.” and “det.”"),
            "collector_code": (
                later(
                    "Two to six capital letters, often your initials. It stands before your collecting numbers "
                    "for life, so it cannot be changed later."
                )
            ),
            "sign_in_name": later("Small letters and digits, no spaces."),
        }

    field_order = ["full_name", "collector_code", "sign_in_name", "password"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        # A model form's validators run on the instance after clean_<field>; the field's own would refuse
        # "at" before it has been made "AT".
        super().__init__(*args, **kwargs)
        for name in ("collector_code", "sign_in_name"):
            self.fields[name].validators = []
            self.fields[name].widget.attrs.update(
                autocomplete="off", autocapitalize="none", spellcheck="false"
            )
        self.fields["full_name"].widget.attrs.update(autocomplete="name")

    def clean_collector_code(self) -> str:
        code = str(self.cleaned_data["collector_code"]).strip().upper()
        if Member.objects.filter(collector_code=code).exists():
            raise forms.ValidationError(
                say(
                    "The code {code} belongs to somebody else. What you typed is kept; choose another, for "
                    "example {code}B.",
                    code=code,
                )
            )
        return code

    def clean_sign_in_name(self) -> str:
        name = str(self.cleaned_data["sign_in_name"]).strip().lower()
        if Member.objects.filter(sign_in_name=name).exists():
            raise forms.ValidationError(
                say("The sign-in name {name} is taken. What you typed is kept; choose another.", name=name)
            )
        return name

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        person = Member(
            sign_in_name=self.cleaned_data.get("sign_in_name", ""),
            full_name=self.cleaned_data.get("full_name", ""),
        )
        validate_password(password, person)
        return password


class InviteForm(forms.Form):
    role = forms.ChoiceField(label=later("Role"), choices=Role.choices, initial=Role.MEMBER)
    note = PlainText(
        label=later("For whom"),
        max_length=120,
        required=False,
        help_text=later("A reminder for keepers; the guest does not see it."),
    )


class RoleForm(forms.Form):
    role = forms.ChoiceField(choices=Role.choices)


class LanguageForm(forms.Form):
    """Empty: as the browser asks. `next` is the page to go back to, if it is one of ours."""

    language = forms.ChoiceField(choices=[("", ""), *settings.LANGUAGES], required=False)


class OwnPageForm(_NameOnRecord):
    class Meta(_NameOnRecord.Meta):
        model = Member
        fields = ["full_name", "public_id", "named_outside"]
        field_classes = {"public_id": PublicIdText}
        labels = {
            "full_name": later("Full name"),
            "public_id": later("ORCID, or another public identifier"),
            "named_outside": later("My name may go out with the club’s records"),
        }
        help_texts = {
            "public_id": later(
                "It goes out beside your name, where your name does. Leave it empty if you have none."
            ),
            "named_outside": (
                later(
                    "With your finds and the names you gave. Otherwise your collecting code stands in its place. "
                    "What went out before cannot be called back."
                )
            ),
        }
