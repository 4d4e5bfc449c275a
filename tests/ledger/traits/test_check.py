import json
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.check import check_specimen
from ledger.traits.readings import AGES, SPECIMEN_STATES, Specimen
from ledger.traits.reference import Reference
from ledger.traits.reference_files import read_reference
from ledger.traits.result_json import as_json
from ledger.traits.results import OUTCOMES, STANDINGS
from ledger.traits.specimen_json import parse_specimen
from tests.ledger.traits.making import (
    FIXTURES,
    RED,
    calibrated,
    checked,
    outcome,
    reference,
    row,
    specimen,
    vocabulary,
)


@cache
def whole() -> Reference:
    """The whole reference with plain bands: these tests are of the rules, not of the measured figures."""
    read = read_reference(FIXTURES)
    plain = {
        code: TraitCalibration(10, 0.05, code in ("underside", "rot"), 1.2, 1.5)
        for code in read.vocabulary.traits
    }
    return Reference.build(
        read.vocabulary, read.taxa, read.sources, read.ranges, Calibration(plain, 1.0, -10.0)
    )


def test_the_outcomes_come_in_the_order_of_the_find():
    found = check_specimen(whole(), specimen("Trametes versicolor", underside="pores"))
    assert [one.trait for one in found.traits] == list(vocabulary().traits)


def test_a_taxon_the_reference_lacks_gets_no_standing_but_look_alikes():
    found = check_specimen(whole(), specimen("Nemo nusquam", underside="pores"))
    assert found.standing is None and len(found.look_alikes) == 108
    assert "does not hold Nemo nusquam" in found.note


def test_a_synonym_is_told_and_not_replaced():
    found = check_specimen(whole(), specimen("Pycnoporus cinnabarinus", underside="pores"))
    assert found.taxon == "Pycnoporus cinnabarinus" and found.standing is None
    assert "synonym of Trametes cinnabarina" in found.note


def test_no_sentence_says_that_a_find_is_a_taxon():
    found = check_specimen(whole(), specimen("Trametes versicolor", underside="pores", zonation="zoned"))
    words = json.dumps(as_json(found, whole())["traits"]) + " ".join(one.sentence for one in found.next_look)
    assert " is Trametes" not in words and "identified" not in words


def test_the_order_of_replicates_does_not_matter():
    one = check_specimen(
        whole(), specimen("Trametes versicolor", cap_width=[31, 58, 44.7], pores_per_mm=[4, 5, 3.3])
    )
    two = check_specimen(
        whole(), specimen("Trametes versicolor", cap_width=[58, 44.7, 31], pores_per_mm=[3.3, 4, 5])
    )
    assert one == two


def test_a_wider_documented_range_never_makes_a_reading_worse():
    order = ["within", "edge", "outside"]
    for value in (3, 4, 4.6, 5, 6, 9):
        one = specimen(pores_per_mm={"values": [value], "resolution": 0.1})
        found = [
            outcome(reference(row("pores_per_mm", low=low, high=high)), "pores_per_mm", one).outcome
            for low, high in ((4, 5), (3, 6), (2, 10))
        ]
        ranks = [order.index(word) for word in found]
        assert ranks == sorted(ranks, reverse=True)


def _number(trait):
    values = st.lists(st.floats(0.01, 2000, allow_nan=False), min_size=1, max_size=4)
    return st.builds(
        lambda v, d: {"values": v, "resolution": d, "unit": trait.unit}, values, st.floats(0.001, 5)
    )


def _reading(trait):
    looked = st.sampled_from(["not looked", "cannot say", "absent"]).map(lambda word: {"looked": word})
    if trait.kind == "months":
        return st.integers(1, 12).map(lambda month: {"values": [month]}) | looked
    if trait.kind == "number":
        return _number(trait) | looked
    codes = [state.code for state in trait.states]
    chosen = st.lists(st.sampled_from(codes), min_size=1, max_size=3, unique=True)
    return chosen.map(lambda states: {"states": states}) | looked


_specimens = st.fixed_dictionaries(
    {
        "readings": st.fixed_dictionaries(
            {}, optional={c: _reading(t) for c, t in vocabulary().traits.items()}
        )
    },
    optional={
        "taxon": st.sampled_from(
            ["Trametes versicolor", "Stereum ostrea", "Fomes fomentarius", "Nemo nusquam"]
        ),
        "state": st.sampled_from(SPECIMEN_STATES),
        "age": st.sampled_from(AGES),
    },
)


@settings(max_examples=60, deadline=None)
@given(_specimens)
def test_any_valid_specimen_is_checked_and_every_word_is_a_known_one(data):
    found = check_specimen(whole(), parse_specimen(data, vocabulary()))
    assert {one.outcome for one in found.traits} <= set(OUTCOMES)
    assert {one.standing for one in found.look_alikes} <= set(STANDINGS)
    named = data.get("taxon") in whole().taxa
    assert len(found.look_alikes) == 108 - named
    weights = [one.weight_db for one in found.look_alikes]
    assert weights == sorted(weights, reverse=True)
    json.dumps(as_json(found, whole()), allow_nan=False)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.5, 400), min_size=1, max_size=4), st.sampled_from(["cm", "in", "um"]))
def test_the_unit_of_writing_does_not_change_the_outcome(values_mm, unit):
    size = {"cm": 10.0, "in": 25.4, "um": 0.001}[unit]
    plain = {"values": values_mm, "resolution": 1}
    other = {"values": [v / size for v in values_mm], "resolution": 1 / size, "unit": unit}
    known = reference(row("cap_width", low=20, high=80), calibration=calibrated(cap_width={"band95": 1.1}))
    found = [outcome(known, "cap_width", specimen(cap_width=entry)).outcome for entry in (plain, other)]
    assert found[0] == found[1]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.5, 50), min_size=2, max_size=6), st.randoms(use_true_random=False))
def test_shuffled_replicates_give_the_very_same_result(values, random):
    shuffled = list(values)
    random.shuffle(shuffled)
    known = reference(row("pores_per_mm", low=4, high=6), row("cap_width", low=4, high=6))
    first, second = (checked(known, specimen(pores_per_mm=v, cap_width=v)) for v in (values, shuffled))
    assert first == second


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 50), st.floats(0.01, 1), st.floats(1, 3))
def test_a_wider_band_never_speaks_more_against(value, resolution, band):
    one = specimen(pores_per_mm={"values": [value], "resolution": resolution})
    rows = (row("pores_per_mm", low=4, high=6),)
    narrow, wide = (
        outcome(
            reference(*rows, calibration=calibrated(pores_per_mm={"band95": b})), "pores_per_mm", one
        ).outcome
        for b in (1.0, band)
    )
    assert not (wide == "outside" and narrow != "outside")
    assert (narrow == "within") == (wide == "within")


def test_a_reading_nobody_made_is_as_none_at_all():
    known = reference(row("zonation", states="zoned"))
    unread, absent = specimen(zonation={"looked": "not looked"}), specimen()
    assert checked(known, unread) == checked(known, absent)


@pytest.mark.parametrize("id", [7, "a", None, {"n": 1}])
def test_the_id_is_given_back(id):
    one = replace(specimen(RED), id=id)
    assert checked(reference(row("rot", states="white rot")), one).id == id


def test_a_specimen_without_readings_is_no_error():
    found = check_specimen(whole(), Specimen("Trametes versicolor", {}))
    assert {one.outcome for one in found.traits} == {"not read"}


def test_the_check_for_flags_agrees_with_the_whole_one_on_all_that_flags_rest_on():
    odd = specimen("Stereum hirsutum", underside="pores", zonation="zoned")
    full, short = check_specimen(whole(), odd), check_specimen(whole(), odd, for_flags=True)
    assert (short.traits, short.standing, short.weight_db) == (full.traits, full.standing, full.weight_db)
    assert list(short.look_alikes) == [c for c in full.look_alikes if c.weight_db >= full.weight_db]
    assert short.next_look == ()
