import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.traits.specimen_json import SpecimenError, parse_line, parse_specimen
from tests.ledger.traits.making import vocabulary


def _parse(**data):
    return parse_specimen(data, vocabulary())


def test_the_example_of_the_command_is_read():
    line = (
        '{"taxon": "Trametes versicolor", "state": "fresh", "readings": {"cap_width": {"values": [58], '
        '"unit": "mm", "resolution": 1}, "underside": {"states": ["pores"]}}}'
    )
    found = parse_line(line, vocabulary())
    assert found.readings["cap_width"].values == (58.0,)
    assert found.readings["underside"].states == {"pores"}
    assert (found.taxon, found.state) == ("Trametes versicolor", "fresh")


def test_low_high_and_n_are_kept_as_such():
    reading = _parse(readings={"pores_per_mm": {"low": 4, "high": 5, "n": 3}}).readings["pores_per_mm"]
    assert (reading.low, reading.high, reading.n, reading.values) == (4.0, 5.0, 3, ())


def test_centimetres_convert_values_and_resolution_alike():
    entry = {"values": [5.8], "unit": "cm", "resolution": 0.1}
    reading = _parse(readings={"cap_width": entry}).readings["cap_width"]
    assert (reading.values, reading.unit) == ((58.0,), "mm")
    assert reading.resolution == pytest.approx(1.0)


def test_any_id_is_given_back():
    assert _parse(id=["a", 1], readings={}).id == ["a", 1]


def test_the_three_ways_of_having_nothing_stay_apart():
    ways = ("not looked", "cannot say", "absent")
    found = [_parse(readings={"zonation": {"looked": way}}).readings["zonation"].looked for way in ways]
    assert tuple(found) == ways


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({"readings": {"cap_widht": {"values": [1]}}}, "unknown trait 'cap_widht'"),
        ({"readings": {"underside": {"states": ["holes"]}}}, "unknown state 'holes'"),
        ({"readings": {"cap_width": {"values": [3], "unit": "furlong"}}}, "unit 'furlong'"),
        ({"readings": {"cap_width": {"values": ["3"]}}}, "'3' is not a number"),
        ({"readings": {"cap_width": {"values": [True]}}}, "True is not a number"),
        ({"readings": {"cap_width": {"values": [10**400]}}}, "too large"),
        ({"readings": {"cap_width": {"values": 3}}}, "list of numbers"),
        ({"readings": {"cap_width": {}}}, "holds no values"),
        ({"readings": {"underside": {"states": "pores"}}}, "list of words"),
        ({"readings": {"underside": {"states": ["pores"], "unit": "mm"}}}, "has no unit"),
        ({"readings": {"cap_width": {"low": 3, "high": 4, "n": 2.5}}}, "whole number"),
        ({"readings": {"cap_width": {"value": 3}}}, "unknown key 'value'"),
        ({"readings": {"underside": {"looked": ["read"], "states": ["pores"]}}}, "looked"),
        ({"readings": []}, "one entry per trait"),
        ({"taxon": 3}, "taxon must be a name"),
        ({"taxon": " "}, "taxon must be a name"),
        ({"state": "damp"}, "state 'damp' is none of"),
        ({"age": ["old"]}, "is none of"),
        ({"colour": "red"}, "unknown key 'colour'"),
    ],
)
def test_a_wrong_specimen_is_refused_with_the_reason(data, message):
    with pytest.raises(SpecimenError, match=message):
        parse_specimen(data, vocabulary())


@pytest.mark.parametrize(
    "line",
    [
        "",
        "{",
        "[]",
        "3",
        "null",
        '{"readings": {"cap_width": {"values": [NaN]}}}',
        '{"taxon": "A", "taxon": "B"}',
    ],
)
def test_a_line_that_is_no_specimen_is_refused(line):
    with pytest.raises(SpecimenError):
        parse_line(line, vocabulary())


def test_a_line_nested_beyond_reason_is_refused():
    with pytest.raises(SpecimenError):
        parse_line('{"id": ' + "[" * 100_000, vocabulary())


_json = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["taxon", "readings", "cap_width", "underside", "values", "states", "low", "n", "unit"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@given(_json)
def test_any_json_is_read_or_refused_with_a_reason(data):
    try:
        parse_line(json.dumps(data), vocabulary())
    except SpecimenError as error:
        assert str(error)


@given(st.text(max_size=60))
def test_any_line_is_read_or_refused_with_a_reason(line):
    try:
        parse_line(line, vocabulary())
    except SpecimenError as error:
        assert str(error)


def test_a_count_that_nobody_could_have_made_is_refused():
    reading = {"low": 1, "high": 5, "n": int("9" * 400)}
    with pytest.raises(SpecimenError, match="999,999"):
        _parse(readings={"cap_width": reading})
