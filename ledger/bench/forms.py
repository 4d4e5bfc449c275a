"""What the curator types: a reason, a question, a name. Each form carries the version of the find that was seen."""

from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict

from ledger.bench import grounds
from ledger.bench.actions import NO_QUESTION, NewName
from ledger.days import day_text
from ledger.finds import naming
from ledger.finds.forms import BASES
from ledger.finds.models import Find
from ledger.text_fields import PlainText
from ledger.words import later, say

QUALIFIERS = (("", later("none")), ("cf.", "cf."), ("aff.", "aff."), ("group", later("group")))


class BenchForm(forms.Form):
    """A form of the bench. `trouble` is why it was not carried out, as one sentence beside the fields' own."""

    prefix_id = ""
    use_required_attribute = False  # the house's own sentence says more than the browser's

    version = forms.IntegerField(
        widget=forms.HiddenInput,
        error_messages={
            "required": later(
                "The form did not say which state of the find you saw. Nothing was written; look and decide "
                "again."
            ),
            "invalid": later(
                "The form did not say which state of the find you saw. Nothing was written; look and decide "
                "again."
            ),
        },
    )
    seen_at = forms.DateTimeField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, label_suffix="", auto_id=f"{self.prefix_id}-%s", **kwargs)
        self.trouble = ""

    def full_clean(self) -> None:
        super().full_clean()
        for name in self.errors if self.is_bound else ():
            if name in self.fields:
                self.fields[name].widget.attrs["aria-invalid"] = "true"

    @property
    def is_refused(self) -> bool:
        return bool(self.trouble or (self.is_bound and self.errors))


class SettleForm(BenchForm):
    prefix_id = "settle"
    reason = PlainText(
        label=later("Why"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": grounds.NO_REASON},
    )
    flags = forms.TypedMultipleChoiceField(required=False, coerce=int)

    def __init__(self, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        # Only ids are asked for here; which of them are this find's open flags is for the action to say.
        sent = data.getlist("flags") if data is not None else []
        self.fields["flags"].choices = [(one, one) for one in sent if one.isdecimal()]  # type: ignore[attr-defined]

    def clean_reason(self) -> str:
        reason: str = self.cleaned_data["reason"]
        if refusal := grounds.reason_refused(reason):
            raise forms.ValidationError(refusal)
        return reason


class SendBackForm(BenchForm):
    prefix_id = "send-back"
    question = PlainText(
        label=later("Question to the finder"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": NO_QUESTION},
    )


class RedetermineForm(BenchForm):
    """A new name as it is typed. A near name is proposed and never taken by itself; see `named`."""

    prefix_id = "redetermine"
    name = PlainText(
        label=later("Name"),
        max_length=190,
        widget=forms.TextInput(
            attrs={
                "list": "known-names",
                "autocomplete": "off",
                "autocapitalize": "sentences",
                "spellcheck": "false",
            }
        ),
        error_messages={
            "required": later(
                "No name was typed. Nothing was written; type a name of any rank, such as Trametes or "
                "Polyporales."
            )
        },
    )
    qualifier = forms.ChoiceField(required=False, choices=QUALIFIERS, label=later("Qualifier"))
    as_typed = forms.BooleanField(required=False, label=later("Keep the name as I typed it"))
    basis = PlainText(
        required=False,
        max_length=200,
        label=later("On what grounds"),
        widget=forms.TextInput(attrs={"list": "bases", "autocomplete": "off"}),
    )
    determiner_name = PlainText(
        required=False,
        max_length=120,
        label=later("Determined by somebody else"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    determined_on = forms.DateField(
        label=later("Determined on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%d %B %Y"],
        error_messages={
            "required": later(
                "No date was given. Nothing was written; give the day on which the name was given."
            ),
            "invalid": later(
                "This is not read as a date. It was kept as typed; type year-month-day, such as 2026-10-03."
            ),
        },
    )
    find_date_wrong = forms.BooleanField(required=False, label=later("The find’s own date is wrong"))
    note = PlainText(
        required=False, max_length=4000, label=later("Note"), widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(
        self, data: QueryDict | None = None, *, today: date, find: Find | None = None, **kwargs: Any
    ) -> None:
        self.today, self.find = today, find
        self.named = naming.Named()
        self.vernacular_typed = ""
        if data is not None and data.get("take_name"):
            # One of the proposals was pressed: its name takes the place of what was typed, in sight of the curator.
            data = data.copy()
            data["name"] = data["take_name"]
        super().__init__(data, **kwargs)

    def clean_determined_on(self) -> date:
        given: date = self.cleaned_data["determined_on"]
        if given > self.today:
            raise forms.ValidationError(
                say(
                    "{given} has not come yet. It was kept as typed; give the day on which the name was given.",
                    given=day_text(given),
                )
            )
        return given

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        typed = " ".join(data.get("name", "").split())
        if not typed:
            return data
        self.named = naming.read(typed)
        if self.named.vernacular_typed:
            # From here on the Latin name stands for it: a qualifier has its place in that one.
            self.vernacular_typed, typed = self.named.vernacular_typed, self.named.written
            self.named = naming.read(typed)
        chosen = data.get("qualifier", "")
        if chosen and self.named.qualifier:
            if chosen.rstrip(".") not in self.named.qualifier:
                self.add_error(
                    "qualifier",
                    say(
                        "The name holds “{qualifier}” and the qualifier says “{chosen}”. Both were kept as typed; "
                        "leave one of them.",
                        qualifier=self.named.qualifier,
                        chosen=chosen,
                    ),
                )
        elif chosen:
            typed = with_qualifier(typed, chosen)
            self.named = naming.read(typed)
        data["typed"] = typed if self.named.kind else ""  # "unnamed", in so many words
        if self.named.kind == "near" and not data.get("as_typed"):
            self.add_error(
                "name",
                say(
                    "This is not a known name, but near to one. Nothing was written and what you typed was kept; "
                    "take one of the names below, or tick that it stays as typed."
                ),
            )
        self._ask_the_find(data)
        return data

    def _ask_the_find(self, data: dict[str, Any]) -> None:
        """What the action would refuse, said beside the field it is about."""
        if self.find is None:
            return
        given = data.get("determined_on")
        if given and (
            refusal := grounds.day_refused(self.find, given, find_date_wrong=data["find_date_wrong"])
        ):
            self.add_error("determined_on", refusal)
        if self.has_error("name"):
            return  # a slip of the pen is no other genus
        said = data.get("basis", "") + data.get("note", "")
        if refusal := grounds.grounds_refused(
            self.find, name_typed=data["typed"], taxon=self.named.row, grounds=said
        ):
            self.add_error("basis", refusal)

    @property
    def is_date_doubted(self) -> bool:
        return self.find is not None and grounds.is_date_doubted(self.find)

    @property
    def new_name(self) -> NewName:
        data = self.cleaned_data
        return NewName(
            name_typed=data["typed"],
            vernacular_typed=self.vernacular_typed,
            taxon=self.named.row,
            qualifier=self.named.qualifier,
            basis=data["basis"].strip(),
            note=data["note"].strip(),
            determiner_name=data["determiner_name"].strip(),
            determined_on=data["determined_on"],
            find_date_wrong=data["find_date_wrong"],
        )

    @property
    def bases(self) -> tuple[str, ...]:
        return BASES


def with_qualifier(name: str, qualifier: str) -> str:
    """The name with its qualifier where it belongs: before the epithet, or after it for a group."""
    words = name.split()
    if qualifier == "group":
        words.insert(min(2, len(words)), qualifier)
    else:
        words.insert(1 if len(words) > 1 else 0, qualifier)
    return " ".join(words)
