"""A curator's forms for a range of the club's own, and for keeping the places of a taxon."""

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from django import forms

from ledger.languages import name_of
from ledger.taxa import range_words
from ledger.taxa.actions import CLUB_SOURCE
from ledger.taxa.club_ranges import club_sources
from ledger.taxa.models import Source, Taxon
from ledger.text_fields import PlainText
from ledger.traits.ranges import CONDITIONS, DocumentedRange
from ledger.traits.units import number_text
from ledger.traits.vocabulary import Trait, Vocabulary
from ledger.words import later, say

_CONDITION_WORDS = {
    "any": later("any specimen"),
    "fresh": later("fresh specimens"),
    "dry": later("dry specimens"),
    "young": later("young caps"),
    "old": later("old caps"),
}


class TraitSelect(forms.Select):
    """The list of traits; each option tells static/js/taxon.js how its figures are said."""

    traits: Mapping[str, Trait] = {}

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option: dict[str, Any] = super().create_option(name, value, *args, **kwargs)
        trait = self.traits.get(str(value))
        if trait is not None:
            option["attrs"] |= {
                "data-kind": trait.kind,
                "data-name": range_words.trait_name(trait),
                "data-unit": range_words.said_unit(trait),
            }
        return option


class ClubRangeForm(forms.Form):
    """Bounds in the trait's own unit, or states; by the club's practice or a named source; and why."""

    use_required_attribute = False  # the house's own sentence says more than the browser's

    trait = forms.ChoiceField(label=later("Trait"), widget=TraitSelect)
    low_extreme = forms.FloatField(label=later("Rarely down to"), required=False, min_value=0)
    low = forms.FloatField(label=later("From"), required=False, min_value=0)
    high = forms.FloatField(label=later("To"), required=False, min_value=0)
    high_extreme = forms.FloatField(label=later("Rarely up to"), required=False, min_value=0)
    states = forms.MultipleChoiceField(
        label=later("States"), required=False, widget=forms.SelectMultiple(attrs={"size": 10})
    )
    condition = forms.ChoiceField(
        label=later("Holds for"), choices=[(code, _CONDITION_WORDS.get(code, code)) for code in CONDITIONS]
    )
    source = forms.ChoiceField(label=later("Source"), required=False)
    citation = PlainText(
        label=later("Another source of the club’s"),
        required=False,
        max_length=300,
        help_text=later(
            "Such as “Measured on 40 caps of the Hollin forays, 2019 to 2025”. It is then in the list above."
        ),
    )
    note = PlainText(
        label=later("Why"),
        max_length=300,
        error_messages={
            "required": later(
                "No reason was given. Nothing was entered and what you typed was kept; say why the club draws the line "
                "there."
            )
        },
    )
    binding = forms.BooleanField(
        label=later("House rule"),
        required=False,
        help_text=later("A reading beyond it is flagged even where a book allows it."),
    )

    def __init__(self, data: Any, *, taxon: Taxon, vocabulary: Vocabulary) -> None:
        super().__init__(data)
        self.taxon, self.vocabulary = taxon, vocabulary
        traits = {code: trait for code, trait in vocabulary.traits.items() if trait.kind != "months"}
        self.fields["trait"].widget.traits = traits
        self.fields["trait"].choices = [
            (code, f"{say(trait.label)}{f' ({range_words.unit_words(trait)})' if trait.unit else ''}")
            for code, trait in traits.items()
        ]
        self.fields["states"].choices = [
            (
                say(trait.label),
                [(f"{trait.code}:{state.code}", say(state.label)) for state in trait.states],
            )
            for trait in traits.values()
            if trait.states
        ]
        self.fields["source"].choices = _source_choices(taxon)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("source") and data.get("citation"):
            self.add_error(
                "citation",
                say("A source is chosen above and another is typed here. Both were kept; leave one of them."),
            )
        trait = self.vocabulary.traits.get(data.get("trait", ""))
        if trait is not None and trait.kind == "number":
            self._check_bounds(trait, data)
        elif trait is not None:
            chosen = data.get("states", [])
            foreign = [one for one in chosen if not one.startswith(f"{trait.code}:")]
            if foreign or not chosen:
                self.add_error(
                    "states",
                    say(
                        "Choose one or more states of {trait}, and of no other trait.", trait=say(trait.label)
                    ),
                )
        return data

    def _check_bounds(self, trait: Trait, data: dict[str, Any]) -> None:
        """A bound that is no number has been told already and is left out here."""
        given = [
            (name, label, data[name]) for name, label in range_words.BOUNDS if data.get(name) is not None
        ]
        if not given and not any(name in self.errors for name, _ in range_words.BOUNDS):
            unit = range_words.unit_words(trait)
            self.add_error(
                "high",
                say(
                    "{trait} is a measure: give at least one bound, in {unit}.",
                    trait=say(trait.label),
                    unit=unit,
                ),
            )
        for (_, before, smaller), (name, label, larger) in pairwise(given):
            if smaller > larger:
                self.add_error(
                    name,
                    say(
                        "“{before}” is {smaller} and “{label}” is {larger}, which is less. Nothing was entered and what you "
                        "typed was kept; put the smaller figure first.",
                        before=before,
                        smaller=number_text(smaller),
                        label=label,
                        larger=number_text(larger),
                    ),
                )
        if data.get("states"):
            told = say("{trait} is a measure and has no states. Take the states off.", trait=say(trait.label))
            self.add_error("states", told)

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


def _source_choices(taxon: Taxon) -> list[Any]:
    """The club's own practice, its other sources, then the books that are in the ledger for this taxon."""
    practice = f"{CLUB_SOURCE}practice"
    books = Source.objects.filter(ranges__taxon=taxon).exclude(pk__startswith=CLUB_SOURCE).distinct()
    groups: list[Any] = [
        ("", say("The club’s own practice")),
        *((one.pk, _short(one.citation)) for one in club_sources() if one.pk != practice),
    ]
    told = sorted(((one.pk, _short(one.citation)) for one in books), key=lambda pair: pair[1])
    return [*groups, (say("Books on this taxon"), told)] if told else groups


def _short(citation: str) -> str:
    return citation if len(citation) <= 90 else f"{citation[:89].rstrip()}…"


class EndRangeForm(forms.Form):
    """Why a range of the club's own is to judge nothing any more."""

    use_required_attribute = False

    reason = PlainText(
        label=later("Why"),
        max_length=300,
        error_messages={
            "required": later("No reason was given. The range still holds; say why it is to be ended.")
        },
    )


class SensitivityForm(forms.Form):
    blur_step_deg = forms.TypedChoiceField(
        label=later("Exact places"),
        required=False,
        coerce=float,
        empty_value=None,
        choices=[("", later("told to every member")), *Taxon._meta.get_field("blur_step_deg").choices],
        help_text=later("Members who are not entitled see the cell of this size instead of the place."),
    )


# Languages of which clubs have names, each by its own; the screens' own come first.
_LANGUAGES = ("en", "de", "cy", "ga", "gd", "fr", "nl", "da", "sv", "nb", "fi", "pl", "cs", "it", "es", "pt")


class ClubNameForm(forms.Form):
    """A name that the club has for a taxon."""

    use_required_attribute = False

    name = PlainText(
        label=later("Name"),
        max_length=120,
        error_messages={"required": later("No name was typed. Nothing was entered.")},
    )
    language = forms.ChoiceField(
        label=later("Language"), choices=[(code, name_of(code)) for code in _LANGUAGES]
    )
    source = PlainText(
        label=later("Who calls it so"),
        max_length=300,
        help_text=later("A book, a person, or the club itself."),
        error_messages={
            "required": later("Where the name comes from was not said. What you typed is kept; add it.")
        },
    )
