"""The record part of the form."""

import uuid

import pytest
from django.http import QueryDict

from ledger.finds.entries import RECORD_FIELDS
from ledger.finds.forms import FindForm

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference):
    pass


def filled(**given):
    data = QueryDict(mutable=True)
    data["find_id"] = str(uuid.uuid4())
    data.update(given)
    return FindForm(data)


def record(**given):
    form = filled(**given)
    assert form.is_valid(), form.errors
    return form.record


def error(field, **given):
    form = filled(**given)
    assert not form.is_valid()
    return form.errors[field][0]


def test_an_empty_form_can_be_stored_and_nothing_is_zero():
    stored = record(altitude_m="", height_m="")
    assert (stored["latitude"], stored["uncertainty_m"], stored["altitude_m"], stored["height_m"]) == (
        None,
    ) * 4
    assert stored["decay_class"] == ""


BY_TICK_OR_CHOICE = ["kept", "specimen_state", "specimen_age", "host_known_by", "wood_position"]
OF_THE_PLACE = {"datum", "uncertainty_m", "position_source", "position_typed"}


@pytest.mark.parametrize(
    "column", sorted(set(RECORD_FIELDS) & set(FindForm.base_fields) - OF_THE_PLACE - {*BY_TICK_OR_CHOICE})
)
def test_a_form_without_a_box_says_nothing_of_its_column(column):
    assert column not in record()
    assert column in record(**{column: ""})


@pytest.mark.parametrize("column", BY_TICK_OR_CHOICE)
def test_a_tick_or_a_choice_taken_back_is_sent_as_silence(column):
    assert not record()[column]


def test_zero_metres_up_the_tree_is_not_nothing():
    assert record(height_m="0")["height_m"] == 0.0


@pytest.mark.parametrize("typed", ["12,5", "12.5", "12.5 m", "± 12,5"])
def test_an_error_is_read_with_comma_or_point_and_unit(typed):
    assert record(position_typed="51.23456, -2.34567", uncertainty_m=typed)["uncertainty_m"] == 12.5


def test_a_number_that_can_be_two_is_refused_with_both_shown():
    assert "1.234 or 1234" in error("altitude_m", altitude_m="1,234")


def test_words_in_a_number_box_are_refused_with_what_to_do():
    assert "type digits only" in error("altitude_m", altitude_m="high up")


def test_a_typed_place_is_read_and_kept_as_typed():
    stored = record(position_typed="51°14'04\"N 2°20'44\"W")
    assert (round(stored["latitude"], 4), round(stored["longitude"], 4)) == (51.2344, -2.3456)
    assert stored["position_typed"] == "51°14'04\"N 2°20'44\"W"
    assert stored["position_source"] == "typed"


def test_a_place_that_can_be_two_is_refused():
    assert "What you typed was kept" in error("position_typed", position_typed="-81 W, 41")


def test_a_stated_error_never_goes_below_what_the_digits_leave_open():
    # 51.2, -2.3 to a tenth of a degree: the full diagonal of a cell of 0.1 degree is some 13 km.
    assert record(position_typed="51.2, -2.3", uncertainty_m="5")["uncertainty_m"] > 10_000


def test_the_phone_is_remembered_as_the_source_of_the_place():
    stored = record(position_typed="51.234560, -2.345670", position_source="phone", uncertainty_m="11")
    assert (stored["position_source"], stored["uncertainty_m"]) == ("phone", 11.0)


def test_a_decay_class_comes_with_its_scale():
    stored = record(decay="usda-fia-log/3")
    assert (stored["decay_scale"], stored["decay_class"]) == ("usda-fia-log", "3")


@pytest.mark.parametrize("sent", ["usda-fia-log/9", "3", "none/3"])
def test_a_decay_class_that_is_not_in_its_scale_is_refused(sent):
    assert "not in the list" in error("decay", decay=sent)


def test_a_date_that_is_none_is_refused_and_kept():
    assert "kept as typed" in error("found_on", found_on="30 February")


def test_a_known_name_is_matched():
    form = filled(name_typed="Trametes cf. versicolor")
    form.is_valid()
    assert (form.name.taxon.name, form.name.qualifier) == ("Trametes versicolor", "cf.")
    assert form.name.typed == "Trametes cf. versicolor"


def test_a_synonym_is_matched_and_stays_as_typed():
    form = filled(name_typed="Coriolus versicolor")
    form.is_valid()
    assert (form.named.kind, form.name.typed, form.name.taxon.name) == (
        "synonym",
        "Coriolus versicolor",
        "Trametes versicolor",
    )


def test_an_english_name_is_kept_as_its_latin_one_with_the_words_beside_it():
    form = filled(name_typed=" Turkey  tail ")
    assert form.is_valid()
    assert (form.name.typed, form.name.taxon.name) == ("Trametes versicolor", "Trametes versicolor")
    assert form.name.vernacular_typed == "Turkey tail"


def test_an_english_name_of_two_taxa_is_kept_as_typed_and_both_are_proposed():
    form = filled(name_typed="lacquered bracket")
    assert form.is_valid()
    assert (form.name.typed, form.name.taxon, form.name.vernacular_typed) == ("lacquered bracket", None, "")
    assert form.named.proposals == ["Ganoderma lucidum", "Ganoderma resinaceum"]


def test_a_misspelt_name_is_kept_and_others_are_proposed():
    form = filled(name_typed="Trametes versicolour")
    form.is_valid()
    assert (form.name.typed, form.name.taxon) == ("Trametes versicolour", None)
    assert "Trametes versicolor" in form.named.proposals


@pytest.mark.parametrize("typed", ["Stereum sp.", "Polyporales", "Unheardia mirabilis"])
def test_names_of_any_rank_and_new_ones_are_kept_without_a_taxon(typed):
    form = filled(name_typed=typed)
    assert form.is_valid()
    assert (form.name.typed, form.name.taxon) == (typed, None)


def test_what_is_no_name_at_all_is_kept_too():
    form = filled(name_typed="the big one (under the oak")
    assert form.is_valid()
    assert form.name.typed == "the big one (under the oak"
