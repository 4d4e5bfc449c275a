from datetime import date

import pytest
from django.http import QueryDict

from ledger.bench.forms import RedetermineForm, with_qualifier
from ledger.taxa.models import Taxon
from ledger.traits.reference import Reference

TODAY = date(2026, 10, 10)


def _form(**typed: str) -> RedetermineForm:
    data = QueryDict(mutable=True)
    data.update({"version": "1", "determined_on": "2026-10-09", **typed})
    return RedetermineForm(data, today=TODAY)


def test_a_known_name_is_matched(versicolor: Taxon) -> None:
    form = _form(name=" Trametes  versicolor ")
    assert form.is_valid()
    assert (form.new_name.name_typed, form.new_name.taxon) == ("Trametes versicolor", versicolor)


def test_an_english_name_is_written_as_its_latin_one_with_the_qualifier_in_its_place(
    reference: Reference,
) -> None:
    form = _form(name="turkey tail", qualifier="cf.")
    assert form.is_valid()
    new = form.new_name
    assert (new.name_typed, new.vernacular_typed, new.qualifier) == (
        "Trametes cf. versicolor",
        "turkey tail",
        "cf.",
    )


def test_a_near_name_is_proposed_and_never_taken(versicolor: Taxon) -> None:
    form = _form(name="Trametes versicollor")
    assert not form.is_valid()
    assert list(form.named.proposals) == ["Trametes versicolor"]
    assert form["name"].value() == "Trametes versicollor"


def test_a_near_name_stays_as_typed_where_the_curator_says_so(versicolor: Taxon) -> None:
    form = _form(name="Trametes versicollor", as_typed="on")
    assert form.is_valid()
    assert (form.new_name.name_typed, form.new_name.taxon) == ("Trametes versicollor", None)


def test_a_proposal_that_is_pressed_takes_the_place_of_what_was_typed(versicolor: Taxon) -> None:
    form = _form(name="Trametes versicollor", take_name="Trametes versicolor", qualifier="cf.")
    assert form.is_valid()
    assert (form.new_name.name_typed, form.new_name.taxon) == ("Trametes cf. versicolor", versicolor)


def test_a_name_the_reference_does_not_hold_is_kept(versicolor: Taxon) -> None:
    form = _form(name="Polyporales")
    assert form.is_valid()
    assert (form.new_name.name_typed, form.new_name.taxon) == ("Polyporales", None)


@pytest.mark.parametrize(
    ("name", "qualifier", "whole"),
    [
        ("Trametes versicolor", "cf.", "Trametes cf. versicolor"),
        ("Trametes versicolor (L.) Lloyd", "aff.", "Trametes aff. versicolor (L.) Lloyd"),
        ("Trametes versicolor (L.) Lloyd", "group", "Trametes versicolor group (L.) Lloyd"),
        ("Trametes", "cf.", "cf. Trametes"),
    ],
)
def test_a_qualifier_stands_where_it_belongs(name: str, qualifier: str, whole: str) -> None:
    assert with_qualifier(name, qualifier) == whole


@pytest.mark.parametrize("qualifier", ["cf.", "aff.", "group"])
def test_a_chosen_qualifier_is_read_back_from_the_name(versicolor: Taxon, qualifier: str) -> None:
    form = _form(name="Trametes versicolor", qualifier=qualifier)
    assert form.is_valid()
    assert (form.new_name.qualifier, form.new_name.taxon) == (qualifier, versicolor)


def test_two_qualifiers_that_differ_are_refused_with_both_shown(versicolor: Taxon) -> None:
    form = _form(name="Trametes cf. versicolor", qualifier="aff.")
    assert not form.is_valid()
    assert "“cf.”" in form.errors["qualifier"][0] and "“aff.”" in form.errors["qualifier"][0]


def test_the_same_qualifier_twice_is_one(versicolor: Taxon) -> None:
    form = _form(name="Trametes cf. versicolor", qualifier="cf.")
    assert form.is_valid()
    assert form.new_name.name_typed == "Trametes cf. versicolor"


def test_a_day_that_has_not_come_is_refused(versicolor: Taxon) -> None:
    form = _form(name="Trametes versicolor", determined_on="2026-10-11")
    assert "11 October 2026 has not come yet" in form.errors["determined_on"][0]


def test_a_missing_name_is_asked_for(versicolor: Taxon) -> None:
    assert "No name was typed" in _form(name="  ").errors["name"][0]
