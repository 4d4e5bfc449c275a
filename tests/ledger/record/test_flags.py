import itertools
import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.record.checks import record_flags
from ledger.record.flags import SEVERITIES, FlagTable, FlagTableError, fingerprint, severity_rank
from tests.ledger.record.cases import LIMITS, QUIET, flag_table

ROW = {
    "code": "too_wide",
    "severity": "doubt",
    "label": "Too wide",
    "sentence": "The cap is {width_m} wide on {day}.",
    "what_to_do": "Measure again.",
    "numbers": ["width_m"],
    "context": ["day"],
}
TABLE = FlagTable.from_json({"flags": [ROW]})


def test_a_flag_says_its_numbers_with_their_units():
    flag = TABLE.flag("too_wide", {"width_m": 12_345.0}, context={"day": "Monday"})
    assert flag.sentence == "The cap is 12.3 km wide on Monday."


def test_a_flag_with_a_value_too_few_is_refused_by_name():
    with pytest.raises(FlagTableError, match="needs the values day, width_m; it was given width_m"):
        TABLE.flag("too_wide", {"width_m": 1.0})


def test_an_unknown_code_is_refused():
    with pytest.raises(FlagTableError, match="no flag 'too_long'"):
        TABLE.flag("too_long", {})


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"severity": "bad"}, "use one of note, doubt, stop"),
        ({"sentence": "{height_m}"}, "names height_m"),
        ({"what_to_do": " "}, "has no what_to_do"),
    ],
)
def test_a_broken_row_is_refused_with_the_reason(change, message):
    with pytest.raises(FlagTableError, match=message):
        FlagTable.from_json({"flags": [{**ROW, **change}]})


def test_a_code_that_stands_twice_is_refused():
    with pytest.raises(FlagTableError, match="twice"):
        FlagTable.from_json({"flags": [ROW, ROW]})


def test_the_fingerprint_hangs_on_the_numbers_and_not_on_words_severity_or_context():
    flag = TABLE.flag("too_wide", {"width_m": 80}, context={"day": "Monday"})
    other = TABLE.flag("too_wide", {"width_m": 80.0}, context={"day": "Friday"})
    assert fingerprint(flag) == fingerprint(replace(other, severity="stop", sentence="Said otherwise."))
    assert fingerprint(flag) != fingerprint(
        TABLE.flag("too_wide", {"width_m": 81}, context={"day": "Monday"})
    )
    assert fingerprint(flag) != fingerprint(replace(flag, subject="p1"))


PLAIN = st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text() | st.none()


@given(st.dictionaries(st.text(max_size=8), PLAIN))
def test_the_fingerprint_survives_a_journey_through_json(numbers):
    flag = TABLE.flag("too_wide", {"width_m": 1}, context={"day": ""})
    back = json.loads(json.dumps(numbers))
    assert fingerprint(replace(flag, numbers=numbers)) == fingerprint(replace(flag, numbers=back))


def test_a_list_of_numbers_has_the_same_fingerprint_when_it_comes_back_as_a_json_list():
    flag = TABLE.flag("too_wide", {"width_m": 1}, context={"day": ""})
    assert fingerprint(replace(flag, numbers={"a": ("x", "y")})) == fingerprint(
        replace(flag, numbers={"a": ["x", "y"]})
    )


def test_the_worst_flags_come_first_and_the_order_never_changes():
    facts = replace(
        QUIET, latitude=0.0, longitude=0.0, datum="", same_number_finds=2, photos=(), host_known_by=""
    )
    flags = record_flags(facts, LIMITS, flag_table())
    ranks = [severity_rank(flag.severity) for flag in flags]
    assert ranks == sorted(ranks, reverse=True)
    assert len(set(ranks)) == 3
    for shuffled in itertools.islice(itertools.permutations(flags), 20):
        assert flag_table().ordered(shuffled) == flags


def test_the_kept_table_has_plain_codes_and_whole_sentences():
    for kind in flag_table().kinds.values():
        assert kind.severity in SEVERITIES
        assert kind.code.replace("_", "").isalpha()
        assert kind.sentence.endswith(".")
        assert kind.what_to_do.endswith(".")
        assert len(kind.code) <= 40


def test_every_sentence_names_its_numbers():
    # How many are outside and which is one clause, and another one where there are none.
    said_together = {"standing_doubtful": {"count", "traits"}}
    for kind in flag_table().kinds.values():
        assert kind.numbers, kind.code
        named = {*kind.numbers, *kind.context} - said_together.get(kind.code, set())
        assert all(f"{{{name}}}" in kind.sentence for name in named), kind.code


def test_the_finder_is_never_told_to_ask_the_finder():
    for kind in flag_table().kinds.values():
        assert "the finder" not in kind.finder_does, kind.code


def test_sentences_that_bear_on_the_exact_place_are_marked():
    telling = {"latitude_deg", "longitude_deg", "distance_m", "margin_m", "uncertainty_m", "altitude_m"}
    for kind in flag_table().kinds.values():
        # 0, 0 is told to everybody: it is nobody's place.
        assert kind.tells_place == (kind.code != "place_zero" and bool(telling & {*kind.numbers})), kind.code
