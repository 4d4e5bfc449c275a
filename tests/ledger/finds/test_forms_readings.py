"""Readings as people type them into the boxes of the form."""

import pytest
from django.http import QueryDict

from ledger.finds.forms_readings import ReadingsForm
from ledger.taxa.queries import vocabulary


def filled(query):
    return ReadingsForm(vocabulary(), QueryDict(query))


def only(query):
    (entry,) = filled(query).entries
    return entry


def test_an_untouched_form_gives_no_readings_and_no_errors():
    form = filled("r-cap_width-values=&r-cap_width-values=&r-cap_width-line=&r-cap_width-unit=mm")
    assert (form.entries, form.errors) == ((), {})


def test_comma_and_point_are_both_decimal_signs():
    assert only("r-cap_width-values=5,5&r-cap_width-values=6.5").values == (5.5, 6.5)


def test_empty_boxes_between_are_no_zeros():
    assert only("r-cap_width-values=58&r-cap_width-values=&r-cap_width-values=61").values == (58.0, 61.0)


def test_zero_is_refused_and_stays_in_the_box():
    form = filled("r-cap_width-values=0")
    assert form.entries == ()
    assert "0 is no measurement" in form.errors["cap_width"]
    assert form.rows["cap_width"].values == ["0"]


@pytest.mark.parametrize(
    ("query", "values", "told"),
    [
        ("r-cap_width-values=5,8&r-cap_width-unit=cm", (58.0,), "5,8 cm = 58 mm"),
        ("r-cap_width-values=2&r-cap_width-unit=in", (50.8,), "2 in = 50.8 mm"),
        ("r-cap_width-values=5.8 cm", (58.0,), "5.8 cm = 58 mm"),
        # The unit typed into the box wins over the one chosen beside it.
        ("r-cap_width-values=58 mm&r-cap_width-unit=cm", (58.0,), ""),
    ],
)
def test_other_units_are_converted_in_the_open(query, values, told):
    row = filled(query).rows["cap_width"]
    assert (row.entry.values, row.converted) == (values, told)


def test_the_resolution_is_that_of_the_instrument_in_the_traits_unit():
    assert only("r-cap_width-values=58&r-cap_width-instrument=calliper").resolution == 0.1
    assert only("r-pores_per_mm-values=4&r-pores_per_mm-instrument=along5").resolution == 0.2


def test_a_range_with_its_number_is_read_from_the_line():
    entry = only("r-cap_width-line=30-45 n=5")
    assert (entry.low, entry.high, entry.n, entry.values) == (30.0, 45.0, 5, ())


def test_a_range_typed_into_the_only_filled_box_is_a_range():
    assert (only("r-cap_width-values=30-45").low, only("r-cap_width-values=30-45").high) == (30.0, 45.0)


def test_a_range_in_one_of_several_boxes_is_refused():
    assert "put it alone" in filled("r-cap_width-values=30-45&r-cap_width-values=50").errors["cap_width"]


def test_boxes_and_line_together_are_refused_and_both_kept():
    row = filled("r-cap_width-values=30&r-cap_width-line=40-50").rows["cap_width"]
    assert "empty one of them" in row.error
    assert (row.values, row.line) == (["30"], "40-50")


def test_a_number_that_can_be_two_is_refused_with_both_shown():
    row = filled("r-cap_width-values=1,234").rows["cap_width"]
    assert row.ways == ("1.234", "1234")
    assert "1.234 or 1234" in row.error


def test_chips_give_states():
    assert only("r-underside-states=pores&r-underside-states=maze").states == ("maze", "pores")


def test_text_for_a_trait_that_is_chosen_makes_no_reading_of_nothing():
    form = filled("r-underside-values=3&r-underside-line=4")
    assert (form.entries, form.errors) == ((), {})


def test_cannot_say_and_absent_are_entries_of_their_own():
    assert only("r-zonation-looked=absent").looked == "absent"
    assert only("r-zonation-looked=cannot say").looked == "cannot say"


@pytest.mark.parametrize(
    "query",
    [
        "r-zonation-looked=absent&r-zonation-states=zoned",
        "r-zonation-looked=absent&r-zonation-looked=cannot say",
        "r-cap_width-looked=cannot say&r-cap_width-values=58",
    ],
)
def test_what_contradicts_itself_is_refused_and_kept(query):
    form = filled(query)
    assert form.entries == ()
    assert len(form.errors) == 1


@pytest.mark.parametrize("query", ["r-underside-states=wings", "r-rot-looked=perhaps", "r-rot-state=boiled"])
def test_a_choice_that_does_not_exist_is_refused(query):
    assert "does not exist" in next(iter(filled(query).errors.values()))


def test_a_reading_may_have_a_condition_of_its_own():
    entry = only("r-cap_width-values=58&r-cap_width-state=air-dry&r-cap_width-age=old")
    assert (entry.state, entry.age) == ("air-dry", "old")


def test_one_bad_reading_does_not_cost_the_others():
    form = filled("r-cap_width-values=wide&r-underside-states=pores")
    assert [entry.trait for entry in form.entries] == ["underside"]
    assert list(form.errors) == ["cap_width"]


def test_a_stored_reading_comes_back_unrounded():
    from ledger.finds.models import Reading

    stored = Reading(trait="cap_width", values=[123.456], unit="mm", resolution=0.1)
    row = ReadingsForm(vocabulary(), None, [stored]).rows["cap_width"]
    assert (row.values, row.instrument) == (["123.456"], "calliper")


def test_absent_is_offered_where_the_vocabulary_says_that_it_means_something():
    offered = {code for code, row in filled("").rows.items() if "absent" in dict(row.looked_choices)}
    traits = vocabulary().traits.values()
    assert offered == {trait.code for trait in traits if trait.can_be_absent or trait.absent_means}
    assert {"pores_per_mm", "zonation", "rot"} <= offered and "cap_width" not in offered


def test_the_month_is_not_asked_for():
    assert "fruiting_months" not in filled("").rows
