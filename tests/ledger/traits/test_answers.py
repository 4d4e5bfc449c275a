import math

import pytest

from ledger.traits.answers import answers_for, entropy_bits, two_way_entropy
from tests.ledger.traits.making import BLUE, RED, calibrated, reference, row, vocabulary


def _answers(known, trait, state="fresh"):
    return answers_for(known, vocabulary().traits[trait], state, None)


def _chances(known, trait, taxon):
    place = list(known.taxa).index(taxon)
    return [column[place] for column in _answers(known, trait).chances]


def test_documented_states_are_equally_likely():
    known = reference(row("rot", states="white rot|brown rot"), row("rot", states="brown rot", taxon=BLUE))
    assert _chances(known, "rot", RED) == [0.5, 0.5]
    assert _chances(known, "rot", BLUE) == [0.0, 1.0]


def test_the_error_rate_is_spread_over_all_answers():
    known = reference(row("rot", states="white rot"), calibration=calibrated(rot={"error_rate": 0.1}))
    assert _chances(known, "rot", RED) == pytest.approx([0.95, 0.05])


def test_a_taxon_without_documentation_answers_as_the_average_one():
    known = reference(row("rot", states="white rot"), row("host", states="conifer", taxon=BLUE))
    assert _chances(known, "rot", BLUE) == _chances(known, "rot", RED)


def test_a_range_lies_evenly_on_a_log_scale():
    known = reference(row("pores_per_mm", low=1, high=4), row("pores_per_mm", low=2, high=8, taxon=BLUE))
    found = _answers(known, "pores_per_mm")
    assert [cut.at for cut in found.cuts] == [2, 4, 8]
    assert _chances(known, "pores_per_mm", RED) == pytest.approx([0.5, 0.5, 0.0, 0.0])


def test_chances_of_every_taxon_sum_to_one():
    known = reference(row("cap_width", low=5, high=90), row("cap_width", high=40, taxon=BLUE, source="b"))
    for taxon in (RED, BLUE):
        assert math.fsum(_chances(known, "cap_width", taxon)) == pytest.approx(1.0)


def test_a_single_documented_number_parts_nothing():
    assert _answers(reference(row("pores_per_mm", low=4, high=4)), "pores_per_mm") is None


def test_a_table_is_made_once_for_each_condition():
    known = reference(row("flexibility", states="flexible", condition="fresh"))
    assert _answers(known, "flexibility") is _answers(known, "flexibility")
    assert _answers(known, "flexibility", state="air-dry") is None


def test_entropy_in_bits():
    assert entropy_bits([0.25] * 4) == 2.0
    assert two_way_entropy(0.5) == 1.0
    assert two_way_entropy(0.0) == two_way_entropy(1.0) == 0.0
