"""The stored calibration against the reference and the code, and the parts that choose what is stored."""

import json
import re
from types import SimpleNamespace

import pytest

from ledger.traits.bands import bands, hold_all
from ledger.traits.calibration import (
    DECISIVE_CASES,
    HALF_DB,
    decisive_traits,
    doubtful_below,
    error_rates,
    may_decide,
)
from ledger.traits.calibration_report import bins, worst_bin
from ledger.traits.learning import DEFAULT, LearnedStates
from ledger.traits.leave_out import learn_all, material
from ledger.traits.lookalikes import LEAD_DB
from ledger.traits.trials import fit_weights, rank
from tests.ledger.traits.making import FIXTURES, reference, row, vocabulary

STALE = "run: python manage.py calibrate --write"


@pytest.fixture(scope="module")
def stored():
    return json.loads((FIXTURES / "calibration.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def held(whole_reference):
    return hold_all(whole_reference)


def test_the_stored_calibration_was_made_from_the_reference_as_it_is(stored, whole_reference):
    assert stored["reference_digest"] == whole_reference.digest, STALE


def test_the_stored_report_was_made_from_the_reference_as_it_is(whole_reference):
    text = (FIXTURES / "reports" / "calibration.md").read_text(encoding="utf-8")
    assert whole_reference.digest[:16] in text, STALE


def test_what_is_stored_is_what_the_code_learns(stored, whole_reference):
    stuff = material(
        whole_reference.vocabulary,
        tuple(whole_reference.taxa.values()),
        whole_reference.sources,
        whole_reference.ranges,
    )
    learned = learn_all(stuff)
    for code, one in learned.items():
        if isinstance(one, LearnedStates):
            assert stored["traits"][code]["background"] == pytest.approx(one.background, rel=1e-4), STALE
        else:
            top = [one.top.centre, one.top.between, one.top.within]
            assert stored["tables"]["numbers"][code]["top"] == pytest.approx(top, rel=1e-4), STALE
    weights = fit_weights(stuff, learned, (), DEFAULT)
    assert stored["tables"]["weights"] == pytest.approx(weights, rel=1e-3, abs=1e-3), STALE


def test_bands_error_rates_and_decisive_traits_are_those_of_the_code(stored, held):
    made, errors, decisive = bands(held), error_rates(held), decisive_traits(held)
    for code, one in stored["traits"].items():
        assert one["band95"] == (pytest.approx(made[code].band95, rel=1e-4) if code in made else None), STALE
        assert one["band98"] == (pytest.approx(made[code].band98, rel=1e-4) if code in made else None), STALE
        assert one["error_rate"] == (pytest.approx(errors[code], rel=1e-4) if code in errors else None), STALE
        assert one["decisive"] == (code in decisive), STALE


def test_bands_agree_with_what_was_measured_when_the_check_was_designed(stored):
    # Measured apart from this code, on the same reference, and written down to one or two digits: about 1.1 for cap
    # width, 1.3 for pores per mm, 1.1 to 1.3 for spores; underside, rot and host never wrong, cap colour 1 %,
    # zonation 16 %, flesh colour 16 %, pore shape and life span 3 %.
    traits = stored["traits"]
    about = {"cap_width": 1.1, "pores_per_mm": 1.3, "spore_length": 1.1, "spore_width": 1.3}
    assert {code: traits[code]["band95"] for code in about} == pytest.approx(about, abs=0.06)
    rates = {
        "underside": 0,
        "rot": 0,
        "host": 0,
        "cap_colour": 0.01,
        "zonation": 0.16,
        "context_colour": 0.16,
    }
    rates |= {"pore_shape": 0.03, "life_span": 0.03}
    assert {code: traits[code]["error_rate"] for code in rates} == pytest.approx(rates, abs=0.006)


def test_the_figures_asked_of_the_check_are_reached(stored):
    found = stored["figures"]
    assert found["first"] >= 0.72 and found["first_three"] >= 0.91
    assert found["ruled_out"] <= 0.01 and found["doubtful"] <= 0.15


def test_the_stored_probabilities_are_within_chance_of_the_observed_rates(stored):
    assert len(stored["figures"]["bins"]) == 10
    assert stored["figures"]["worst_bin_in_standard_errors"] < 3.0


def test_what_is_said_to_fit_best_is_the_right_one_in_nine_of_ten(stored):
    lead = stored["figures"]["lead"]
    assert lead["lead_db"] == LEAD_DB
    clear = lead["whole"]["clear"] + lead["parts"]["clear"]
    right = sum(lead[of]["clear"] * lead[of]["right"] for of in ("whole", "parts")) / clear
    assert right == pytest.approx(0.9, abs=0.01)


def test_size_and_season_never_rule_out():
    traits = vocabulary().traits
    assert not may_decide(traits["cap_width"]) and not may_decide(traits["fruiting_months"])
    assert may_decide(traits["pores_per_mm"]) and may_decide(traits["underside"])


def test_a_trait_that_never_errs_is_decisive_only_with_enough_cases():
    def known(count):
        taxa = [f"Multa exempli{i}" for i in range(count)]
        return [row("rot", taxon=t, states="white rot", source=s) for t in taxa for s in ("book-a", "book-b")]

    assert decisive_traits(hold_all(reference(*known(DECISIVE_CASES // 2)))) == {"rot"}
    assert decisive_traits(hold_all(reference(*known(DECISIVE_CASES // 2 - 1)))) == frozenset()


def test_doubt_begins_where_the_odds_are_halved_or_lower_if_too_many_right_taxa_fall_below():
    assert pytest.approx(-3.0103, abs=1e-4) == HALF_DB
    assert doubtful_below([5.0] * 100) == HALF_DB
    assert doubtful_below([-20.0] * 10 + [-10.0] * 10 + [5.0] * 80) == -10.0


def test_a_tie_counts_against_the_right_taxon():
    assert rank([3.0, 1.0, 3.0], 0) == 2


def verdict(probabilities, right):
    return SimpleNamespace(
        probabilities=probabilities, trial=SimpleNamespace(case=SimpleNamespace(taxon=right))
    )


def test_bins_hold_every_taxon_of_every_case():
    found = bins([verdict((0.85, 0.15), 0), verdict((0.81, 0.19), 1)])
    assert found == [
        (0.1, 0.2, 2, pytest.approx(0.17), 0.5),
        (0.8, 0.9, 2, pytest.approx(0.83), 0.5),
    ]


def test_the_worst_bin_is_counted_in_binomial_standard_errors():
    # 0.5 stated twice, right twice: (1 - 0.5) / sqrt(0.25 / 2) in both bins of the same case turned round.
    assert worst_bin([verdict((0.5, 0.5), 0)]) == pytest.approx(0.0)
    assert worst_bin([verdict((0.8, 0.2), 0)]) == pytest.approx(0.2 / (0.16**0.5))


def test_the_report_holds_no_figure_that_the_stored_file_does_not(stored):
    text = (FIXTURES / "reports" / "calibration.md").read_text(encoding="utf-8")
    shown = {
        name: float(value) for name, value in re.findall(r"^\| (right taxon [^|]+) \| ([\d.]+) %", text, re.M)
    }
    kept = stored["figures"]
    assert shown == {
        "right taxon first": pytest.approx(kept["first"] * 100, abs=0.06),
        "right taxon among the first three": pytest.approx(kept["first_three"] * 100, abs=0.06),
        "right taxon ruled out": pytest.approx(kept["ruled_out"] * 100, abs=0.06),
        "right taxon doubtful": pytest.approx(kept["doubtful"] * 100, abs=0.06),
    }
