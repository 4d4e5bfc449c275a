import math

import pytest

from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.lookalikes import LEAD_DB, clear_first
from ledger.traits.results import Candidate
from tests.ledger.traits.making import BLUE, RED, calibrated, checked, reference, row, specimen

ROWS = (
    row("underside", states="pores"),
    row("underside", states="smooth", taxon=BLUE),
    row("cap_width", taxon=BLUE, low=10, high=30),
)


def _evidence():
    states = ("pores", "maze", "gills", "teeth", "smooth", "folds")
    swaps = {one: dict.fromkeys(states, 0.01) for one in states}
    trait = TraitCalibration(50, 0.01, True, background=dict.fromkeys(states, 0.2), interchange=swaps)
    return Calibration({"underside": trait}, 1.0, -20.0, tables={"weights": {"underside": 1.0}})


def test_every_other_taxon_is_a_look_alike_and_the_named_one_is_not():
    found = checked(reference(*ROWS), specimen(RED, underside="pores"))
    assert [c.taxon for c in found.look_alikes] == [BLUE]


def test_without_a_name_all_are_ranked():
    found = checked(reference(*ROWS), specimen(None, underside="pores"))
    assert (found.taxon, found.standing, found.traits) == (None, None, ())
    assert {c.taxon for c in found.look_alikes} == {RED, BLUE}


def test_each_is_shown_with_the_readings_that_speak_against_it():
    found = checked(reference(*ROWS), specimen(RED, underside="pores", cap_width=80))
    assert [one.text for one in found.look_alikes[0].against] == [
        "Underside: pores, documented is smooth",
        "Cap width, along the wood: 80 mm ± 0.58, documented is 10–30 mm",
    ]


def test_a_trait_that_does_not_apply_speaks_against_nobody():
    known = reference(*ROWS, row("pores_per_mm", low=1, high=2, taxon=BLUE))
    found = checked(known, specimen(RED, underside="smooth", pores_per_mm=9))
    assert found.look_alikes[0].against == ()


def test_the_best_weight_comes_first():
    found = checked(reference(*ROWS, calibration=_evidence()), specimen(None, underside="smooth"))
    assert [c.taxon for c in found.look_alikes] == [BLUE, RED]
    assert found.look_alikes[0].weight_db > 0 > found.look_alikes[1].weight_db


def test_equal_weights_are_ordered_by_name():
    found = checked(reference(*ROWS), specimen(None))
    assert [c.taxon for c in found.look_alikes] == sorted([RED, BLUE])


def test_probabilities_share_one_among_all_taxa():
    found = checked(reference(*ROWS, calibration=_evidence()), specimen(RED, underside="pores"))
    total = found.probability + math.fsum(c.probability for c in found.look_alikes)
    assert total == pytest.approx(1.0)


def test_ten_decibans_are_odds_of_ten_to_one():
    found = checked(reference(*ROWS, calibration=_evidence()), specimen(None, underside="pores")).look_alikes
    odds = found[0].probability / found[1].probability
    assert 10 * math.log10(odds) == pytest.approx(found[0].weight_db - found[1].weight_db)


def test_a_decisive_trait_rules_out_a_look_alike():
    known = reference(*ROWS, calibration=calibrated(underside={"decisive": True}))
    assert checked(known, specimen(RED, underside="pores")).look_alikes[0].standing == "ruled out"


def ranked(*weights_db, standing="open"):
    return [Candidate(f"Taxon {i}", standing, weight, (), None, ()) for i, weight in enumerate(weights_db)]


def test_the_first_stands_out_once_it_leads_the_second_clearly():
    assert clear_first(ranked(12.0, 12.0 - LEAD_DB, 1.0)).taxon == "Taxon 0"
    assert clear_first(ranked(12.0, 12.01 - LEAD_DB, 1.0)) is None


def test_of_many_alike_none_stands_out():
    assert clear_first(ranked(11.13, 11.13, 11.13)) is None


@pytest.mark.parametrize("standing", ["doubtful", "ruled out"])
def test_what_is_spoken_against_never_stands_out(standing):
    assert clear_first(ranked(12.0, -20.0, standing=standing)) is None


def test_a_lead_counts_as_it_is_shown():
    assert clear_first(ranked(LEAD_DB + 0.0001, 0.004)) is not None
    assert clear_first(ranked(LEAD_DB, 0.006)) is None


def test_a_lead_of_eight_decibans_is_clear_and_less_is_not():
    assert clear_first(ranked(8.0, 0.0)) is not None
    assert clear_first(ranked(7.99, 0.0)) is None
