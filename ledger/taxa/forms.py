"""A curator's form for a range of the club's own."""

from typing import Any

from django import forms

from ledger.taxa.models import Source, Taxon
from ledger.traits.ranges import CONDITIONS, DocumentedRange
from ledger.traits.vocabulary import Vocabulary


class ClubRangeForm(forms.Form):
    """Bounds in the trait's own unit, or states; by the club's practice or a named source."""

    trait = forms.ChoiceField(label="Trait")
    low_extreme = forms.FloatField(label="Rarely down to", required=False, min_value=0, localize=False)
    low = forms.FloatField(label="From", required=False, min_value=0)
    high = forms.FloatField(label="To", required=False, min_value=0)
    high_extreme = forms.FloatField(label="Rarely up to", required=False, min_value=0)
    states = forms.MultipleChoiceField(label="States", required=False)
    condition = forms.ChoiceField(label="Holds for", choices=[(code, code) for code in CONDITIONS])
    source = forms.CharField(
        label="Source",
        required=False,
        max_length=80,
        help_text="The code of a source in the ledger; empty: the club's own practice.",
    )
    note = forms.CharField(label="Note", required=False, max_length=300)
    binding = forms.BooleanField(
        label="House rule",
        required=False,
        help_text="A reading beyond it is flagged even where a book allows it.",
    )

    def __init__(self, data: Any, *, taxon: Taxon, vocabulary: Vocabulary) -> None:
        super().__init__(data)
        self.taxon, self.vocabulary = taxon, vocabulary
        traits = [trait for trait in vocabulary.traits.values() if trait.kind != "months"]
        self.fields["trait"].choices = [
            (trait.code, f"{trait.label}{f' ({trait.unit})' if trait.unit else ''}") for trait in traits
        ]
        self.fields["states"].choices = [
            (trait.label, [(f"{trait.code}:{state.code}", state.label) for state in trait.states])
            for trait in traits
            if trait.states
        ]

    def clean_source(self) -> str:
        code = str(self.cleaned_data["source"]).strip()
        if code and not Source.objects.filter(pk=code).exists():
            raise forms.ValidationError(
                f"No source {code!r} is in the ledger. What you typed is kept; leave it empty for the club's own practice."
            )
        return code

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return data
        trait = self.vocabulary.traits[data["trait"]]
        bounds = [data[name] for name in ("low_extreme", "low", "high", "high_extreme")]
        if trait.kind == "number":
            given = [bound for bound in bounds if bound is not None]
            if not given:
                self.add_error(
                    "high", f"{trait.label} is a measure: give at least one bound, in {trait.unit}."
                )
            elif given != sorted(given):
                self.add_error(
                    "high",
                    f"The bounds {', '.join(map(str, given))} do not rise. What you typed is kept; put the smallest first.",
                )
            if data["states"]:
                self.add_error(
                    "states", f"{trait.label} is a measure and has no states. Take the states off."
                )
        else:
            foreign = [chosen for chosen in data["states"] if not chosen.startswith(f"{trait.code}:")]
            if foreign or not data["states"]:
                self.add_error(
                    "states", f"Choose one or more states of {trait.label}, and of no other trait."
                )
        return data

    def value(self) -> DocumentedRange:
        """Return the range as a value; only after is_valid()."""
        data = self.cleaned_data
        trait = self.vocabulary.traits[data["trait"]]
        number = trait.kind == "number"
        return DocumentedRange(
            taxon=self.taxon.name,
            trait=trait.code,
            low_extreme=data["low_extreme"] if number else None,
            low=data["low"] if number else None,
            high=data["high"] if number else None,
            high_extreme=data["high_extreme"] if number else None,
            unit=trait.unit,
            states=frozenset(chosen.split(":", 1)[1] for chosen in data["states"]),
            condition=data["condition"],
            source_id=data["source"],
            note=data["note"],
            binding=data["binding"],
        )


class SensitivityForm(forms.Form):
    blur_step_deg = forms.TypedChoiceField(
        label="Exact places",
        required=False,
        coerce=float,
        empty_value=None,
        choices=[("", "told to every member"), *Taxon._meta.get_field("blur_step_deg").choices],
        help_text="Members who are not entitled see the cell of this size instead of the place.",
    )
