import math

import pytest

from ledger.traits import evidence
from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.evidence import (
    DECIBANS_PER_NAT,
    Observed,
    compile_tables,
    observed,
    probabilities,
    totals,
    weigh,
)
from ledger.traits.leave_out import learn_all, material
from ledger.traits.ranges import TaxonEntry
from ledger.traits.readings import Reading, estimate
from tests.ledger.traits.making import BLUE, RED, row, vocabulary

UNDERSIDES = [state.code for state in vocabulary().traits["underside"].states]
GREEN = "Viridis exempli"


def tables(*rows, taxa=(RED, BLUE, GREEN), weights=None, scale=1.0, families=None):
    """Tables whose learned figures are given plainly: backgrounds of 0.2, hardly any interchange, spreads of 0.3."""
    codes = {one.trait for one in rows}
    chances = dict.fromkeys(UNDERSIDES, 0.2)
    states = TraitCalibration(
        background=chances, interchange={s: dict.fromkeys(UNDERSIDES, 0.01) for s in UNDERSIDES}
    )
    months = [str(month) for month in range(1, 13)]
    season = TraitCalibration(
        background=dict.fromkeys(months, 0.5), interchange={m: dict.fromkeys(months, 0.2) for m in months}
    )
    spread = {"top": [math.log(50), 1.0, 0.09], "width": [math.log(2), 0.2, 0.09]}
    calibration = Calibration(
        {"underside": states, "fruiting_months": season},
        scale,
        -3.0,
        tables={
            "weights": weights or dict.fromkeys(codes, 1.0),
            "numbers": dict.fromkeys(codes - {"underside", "fruiting_months"}, spread),
        },
    )
    entries = [TaxonEntry(name, family=(families or {}).get(name, "")) for name in taxa]
    return compile_tables(vocabulary(), entries, rows, calibration)


def weights(made, *readings):
    return dict(zip(made.taxa, totals(made, weigh(made, readings)), strict=True))


def test_ten_decibans_are_odds_of_ten():
    # The definition of the deciban, I. J. Good, Probability and the Weighing of Evidence (1950).
    assert DECIBANS_PER_NAT * math.log(10.0) == pytest.approx(10.0)
    assert probabilities([10.0, 0.0]) == pytest.approx([10 / 11, 1 / 11])


def test_probabilities_of_very_unlike_weights_stay_numbers():
    assert probabilities([0.0, -9000.0, 0.0]) == [0.5, 0.0, 0.5]


def test_a_documented_state_speaks_for_and_a_foreign_one_against():
    made = tables(row("underside", states="pores"), row("underside", states="smooth", taxon=BLUE))
    found = weights(made, Observed("underside", frozenset({"pores"})))
    assert found[RED] > 3.0 > 0.0 > found[BLUE]


def test_a_taxon_nothing_is_documented_of_is_left_near_zero():
    made = tables(row("underside", states="pores"), row("underside", states="smooth", taxon=BLUE))
    assert weights(made, Observed("underside", frozenset({"pores"})))[GREEN] == pytest.approx(0.0, abs=1e-9)


def test_a_taxon_nothing_is_documented_of_follows_its_family():
    kin = {RED: "Exemplaceae", GREEN: "Exemplaceae"}
    made = tables(row("underside", states="pores"), families=kin)
    found = weights(made, Observed("underside", frozenset({"pores"})))
    assert found[RED] > found[GREEN] > found[BLUE] == pytest.approx(0.0, abs=1e-9)


def test_more_sources_speak_louder():
    one = tables(row("underside", states="pores"))
    two = tables(row("underside", states="pores"), row("underside", states="pores", source="book-b"))
    seen = Observed("underside", frozenset({"gills"}))
    assert weights(two, seen)[RED] < weights(one, seen)[RED] < 0.0


def test_the_chance_of_a_state_is_the_shrunk_share_of_sources():
    # By hand: one source, interchange 0.01, no relatives (0.2): prior (0.2 + 0.01)/2 = 0.105,
    # chance (1 + 0.8 * 0.105)/1.8 of pores and 0.8 * 0.105/1.8 of each other state; unseen ones count 0.8.
    made = tables(row("underside", states="pores"))
    pores, other = (1 + 0.8 * 0.105) / 1.8, 0.8 * 0.105 / 1.8
    unseen = (len(UNDERSIDES) - 1) * 0.8 * math.log((1 - other) / 0.8)
    expected = DECIBANS_PER_NAT * (math.log(pores / 0.2) + unseen)
    assert weights(made, Observed("underside", frozenset({"pores"})))[RED] == pytest.approx(
        expected, abs=2e-4
    )


def test_a_number_within_one_range_and_beyond_another_tells_them_apart():
    made = tables(row("cap_width", low=20, high=60), row("cap_width", taxon=BLUE, low=200, high=400))
    found = weights(made, Observed("cap_width", points=(40.0,)))
    assert found[RED] > 0.0 and found[BLUE] < -10.0


def test_the_blurred_range_is_the_sum_of_students_t_at_five_nodes():
    # Density of Student's t with 7 degrees of freedom is proportional to (1 + z^2/7)^-4.
    rows = [(math.log(60), math.log(3), 0.2), (math.log(90), math.log(2), 0.3)]
    at = math.log(45)
    by_hand = [
        sum((1 + ((at - (top - width * k / 4)) / blur) ** 2 / 7) ** -4 for k in range(5)) / blur
        for top, width, blur in rows
    ]
    assert evidence._densities(rows, at, soft=False) == pytest.approx(by_hand)


def test_a_young_small_cap_is_held_against_no_taxon_that_grows_larger():
    made = tables(row("cap_width", low=100, high=200), row("cap_width", taxon=BLUE, low=100, high=200))
    hard = weights(made, Observed("cap_width", points=(10.0,)))
    soft = weights(made, Observed("cap_width", points=(10.0,), soft=True))
    at_bound = weights(made, Observed("cap_width", points=(100.0,), soft=True))
    assert soft[RED] > hard[RED]
    assert soft[RED] - soft[BLUE] == pytest.approx(at_bound[RED] - at_bound[BLUE])


def test_single_caps_are_soft_and_a_printed_range_is_not():
    trait = vocabulary().traits["cap_width"]
    caps = estimate(Reading("cap_width", values=(20.0, 30.0)), 1.0)
    assert observed(trait, numbers=caps, singles=True) == Observed(
        "cap_width", points=(20.0, 30.0), soft=True
    )
    assert observed(trait, numbers=caps).soft is False


def test_replicate_spores_are_compared_by_their_mean_and_a_printed_range_by_both_ends():
    trait = vocabulary().traits["spore_length"]
    spores = estimate(Reading("spore_length", values=(5.0, 6.0, 7.0)), 0.1)
    assert observed(trait, numbers=spores, singles=True).points == (6.0,)
    assert observed(trait, numbers=spores).points == (5.0, 7.0)


def test_a_month_in_season_speaks_for_the_taxon():
    made = tables(row("fruiting_months", low=9, high=11), row("fruiting_months", taxon=BLUE, low=4, high=6))
    found = weights(made, observed(vocabulary().traits["fruiting_months"], months=[10]))
    assert found[RED] > 0.0 > found[BLUE]


def test_weight_and_scale_multiply_the_evidence():
    rows = (row("cap_width", low=20, high=60), row("underside", states="pores"))
    seen = (Observed("cap_width", points=(40.0, 50.0)), Observed("underside", frozenset({"pores"})))
    whole = weigh(tables(*rows), seen)
    half = weigh(tables(*rows, weights={"cap_width": 0.5, "underside": 1.0}, scale=0.5), seen)
    assert half["cap_width"] == pytest.approx([x * 0.25 for x in whole["cap_width"]], rel=1e-5)
    assert half["underside"] == pytest.approx([x * 0.5 for x in whole["underside"]], abs=3e-4)


def test_readings_without_calibration_or_content_weigh_nothing():
    made = tables(row("underside", states="pores"))
    assert weigh(made, [Observed("cap_width", points=(40.0,)), Observed("underside")]) == {}
    assert totals(made, {}) == [0.0, 0.0, 0.0]


def test_tables_hold_ten_thousandths_and_totals_millionths():
    made = tables(row("cap_width", low=20, high=60), row("underside", states="pores"))
    found = totals(made, weigh(made, [Observed("cap_width", points=(41.7,))]))
    steps = made.traits["underside"].step["pores"]
    assert [round(step * 1e4) / 1e4 for step in steps] == steps
    assert [round(total * 1e6) / 1e6 for total in found] == found and any(found)


def test_a_binding_house_rule_is_no_description():
    plain, ruled = (
        row("cap_width", low=20, high=60),
        row("cap_width", low=20, high=40, source="club", binding=True),
    )
    seen = Observed("cap_width", points=(55.0,))
    assert weights(tables(plain, ruled), seen) == weights(tables(plain), seen)


def test_rows_of_all_conditions_excuse_a_state():
    made = tables(row("underside", states="pores"), row("underside", states="gills", condition="old"))
    apart = tables(row("underside", states="pores"))
    seen = Observed("underside", frozenset({"gills"}))
    assert weights(made, seen)[RED] > weights(apart, seen)[RED]


def test_a_reading_of_zero_has_no_logarithm_and_says_nothing():
    made = tables(row("cap_width", low=20, high=60))
    assert weights(made, Observed("cap_width", points=(0.0,))) == {RED: 0.0, BLUE: 0.0, GREEN: 0.0}


def test_tables_of_the_whole_reference_have_every_taxon_and_finite_weights(whole_reference):
    made = compile_tables(
        whole_reference.vocabulary,
        list(whole_reference.taxa.values()),
        whole_reference.ranges,
        whole_reference.calibration,
    )
    stuff = material(
        whole_reference.vocabulary,
        list(whole_reference.taxa.values()),
        whole_reference.sources,
        whole_reference.ranges,
    )
    assert made.traits.keys() == learn_all(stuff).keys()
    for case in stuff.cases[::20]:
        found = totals(made, weigh(made, case.readings.values()))
        assert len(found) == len(whole_reference.taxa) and all(map(math.isfinite, found))
