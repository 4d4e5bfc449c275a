"""A file that is given; what its columns are; waypoints beside it."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from ledger.taking_in.cells import MARKS, ORDERS
from ledger.taking_in.columns import TARGETS, TRAIT, Mapped
from ledger.taking_in.text_table import ENCODINGS, UTF_8
from ledger.traits.strip import UNIT_WORDS
from ledger.traits.vocabulary import Trait
from ledger.uploads import LeftOut
from ledger.words import later, say, together

_OFFSETS = {str(minutes): minutes for minutes in range(-720, 841, 15)}


class GiveForm(forms.Form):
    file = forms.FileField(
        label=later("File"),
        help_text=later("A Darwin Core archive (zip), a CSV, or a workbook (XLSX)."),
        error_messages={
            "required": later("No file was chosen. Nothing was written; choose one."),
            "empty": later("The file is empty. Nothing was written; see whether it is the right one."),
            "missing": later("No file came. Nothing was written; choose it again."),
            "invalid": later("No file came. Nothing was written; choose it again."),
        },
    )
    encoding = forms.ChoiceField(
        label=later("Letters of a CSV are in"),
        choices=list(ENCODINGS.items()),
        initial=UTF_8,
        help_text=later("Leave it unless the ledger says that it is wrong."),
    )

    def __init__(self, data: Any = None, files: Any = None) -> None:
        super().__init__(data, files, label_suffix="")

    def clean_file(self) -> Any:
        given = self.cleaned_data["file"]
        if isinstance(given, LeftOut):
            raise forms.ValidationError(too_large(given))
        return given

    def _clean_fields(self) -> None:
        # A file that was left out while it came is empty by now; the sentence is about its size.
        given = self.files.get("file") if self.files else None
        if isinstance(given, LeftOut):
            self.fields["file"].allow_empty_file = True
        super()._clean_fields()


def too_large(given: LeftOut) -> str:
    return say(
        "The file is larger than a browser may send here. Nothing was written. Part it, or have the keeper take it in on "
        "the ledger’s own machine: manage.py take_in FILE"
    )


class WaypointsForm(forms.Form):
    waypoints = forms.FileField(label=later("GPX file"), required=False)

    def __init__(self, data: Any = None, files: Any = None) -> None:
        super().__init__(data, files, label_suffix="")


def column_choices(traits: Mapping[str, Trait]) -> list[tuple[str, Any]]:
    """For the list beside each column; what is measured with its unit."""
    told = [(one.code, one.label) for one in TARGETS.values()]
    read = [(TRAIT + code, _with_its_unit(trait)) for code, trait in traits.items()]
    return [("", say("leave out")), (say("Of the find"), told), (say("Readings"), read)]


def _with_its_unit(trait: Trait) -> str:
    # “Pores per millimetre” tell it themselves.
    if trait.kind != "number" or trait.unit is None or trait.unit == "1/mm":
        return say(trait.label)
    return together([say(trait.label), say(UNIT_WORDS.get(trait.unit, trait.unit))], ", ")


def offset_choices() -> list[tuple[str, str]]:
    made: list[tuple[str, str]] = [("", say("not known"))]
    for text, minutes in _OFFSETS.items():
        sign, away = ("−", -minutes) if minutes < 0 else ("+", minutes)
        words = f"UTC{sign}{away // 60}" + (f":{away % 60:02d}" if away % 60 else "")
        made.append((text, words if minutes else "UTC"))
    return made


def mapped_of(data: QueryDict, header: Sequence[str]) -> Mapped:
    """What was chosen, as it came; held against the list by `columns.wrong_mapping`."""
    columns = {place: data.get(f"column-{place}", "") for place in range(len(header))}
    offset, within = data.get("offset", ""), data.get("within", "10")
    return Mapped(
        columns={place: code for place, code in columns.items() if code},
        order=data.get("order", "") if data.get("order") in ORDERS else "",
        mark=data.get("mark", "") if data.get("mark") in MARKS else "",
        offset_minutes=_OFFSETS.get(offset),
        within_minutes=int(within)
        if within.isdecimal() and len(within) < 4 and 1 <= int(within) <= 240
        else 10,
    )
