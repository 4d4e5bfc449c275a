import pytest

from ledger.traits.next_look import in_short, next_looks
from ledger.traits.outcome import see
from ledger.traits.results import Candidate, NextLook
from tests.ledger.traits.making import BLUE, RED, calibrated, checked, reference, row, specimen

GREEN = "Viridis exempli"


def _looks(known, one):
    return checked(known, one).next_look


def test_a_trait_that_parts_two_taxa_gains_one_bit():
    known = reference(row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    (look,) = _looks(known, specimen())
    assert (look.trait, look.effort) == ("rot", "knife")
    assert look.gain_bits == pytest.approx(1.0)


def test_it_says_what_each_answer_would_leave():
    known = reference(row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    (look,) = _looks(known, specimen())
    assert {a.text: a.leaves for a in look.answers} == {"white rot": (RED,), "brown rot": (BLUE,)}
    assert f"brown rot would leave {BLUE}" in look.sentence.replace("Brown", "brown")


def test_in_short_it_says_in_a_few_words_why_it_comes_first():
    known = reference(row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    (look,) = _looks(known, specimen())
    short = in_short(look, still_open=108, state="fresh")
    assert short == "Of what is unread, this parts the 108 taxa still open best for the effort."
    assert len(short.split()) <= 15


def test_in_short_what_drying_destroys_is_to_be_done_while_fresh():
    known, one = _two_ways("fresh")
    short = in_short(_looks(known, one)[0], still_open=2, state="fresh")
    assert short.startswith("Do it while fresh") and len(short.split()) <= 15
    assert "fresh" not in in_short(_looks(known, one)[0], still_open=2, state="air-dry")


def test_a_taxon_of_which_nothing_is_documented_is_left_by_every_answer():
    known = reference(
        row("rot", states="white rot"),
        row("rot", states="brown rot", taxon=BLUE),
        row("host", states="conifer", taxon=GREEN),
    )
    look = next(one for one in _looks(known, specimen()) if one.trait == "rot")
    assert all(GREEN in answer.leaves for answer in look.answers)


def test_numbers_are_cut_at_a_documented_bound():
    known = reference(row("pores_per_mm", low=4, high=6), row("pores_per_mm", low=1, high=2, taxon=BLUE))
    (look,) = _looks(known, specimen())
    assert {a.text: a.leaves for a in look.answers} == {"4 per mm or more": (RED,), "less": (BLUE,)}


def test_a_small_value_of_a_growth_trait_leaves_everybody():
    known = reference(row("cap_width", low=100, high=200), row("cap_width", low=5, high=20, taxon=BLUE))
    look = _looks(known, specimen())[0]
    assert {a.text: a.leaves for a in look.answers}["less"] == (BLUE, RED)


def test_the_error_rate_of_a_trait_lessens_its_gain():
    rows = (row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    (sure,) = _looks(reference(*rows), specimen())
    (unsure,) = _looks(reference(*rows, calibration=calibrated(rot={"error_rate": 0.2})), specimen())
    assert unsure.gain_bits < sure.gain_bits


def test_a_read_trait_is_not_proposed_and_one_not_looked_at_is():
    known = reference(row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    assert _looks(known, specimen(rot="white rot")) == ()
    assert _looks(known, specimen(rot={"looked": "cannot say"})) == ()
    assert len(_looks(known, specimen(rot={"looked": "not looked"}))) == 1


def test_a_trait_that_does_not_apply_is_not_proposed():
    known = reference(row("pores_per_mm", low=4, high=6), row("pores_per_mm", low=1, high=2, taxon=BLUE))
    assert _looks(known, specimen(underside="gills")) == ()


def test_ruled_out_taxa_do_not_count():
    known = reference(
        row("rot", states="white rot"),
        row("rot", states="brown rot", taxon=BLUE),
        row("underside", states="gills", taxon=BLUE),
        calibration=calibrated(underside={"decisive": True}),
    )
    assert _looks(known, specimen(underside="pores")) == ()


def _two_ways(state):
    """Rot (knife) and flexibility (eye, destroyed by drying) part the same two taxa."""
    return reference(
        row("host", states="hardwood"),
        row("host", states="conifer", taxon=BLUE),
        row("flexibility", states="flexible|stiff"),
        row("flexibility", states="stiff", taxon=BLUE),
    ), specimen(state=state)


def test_while_fresh_what_drying_destroys_goes_first():
    assert [one.trait for one in _looks(*_two_ways("fresh"))] == ["flexibility", "host"]


def test_of_a_dry_specimen_the_best_gain_per_effort_goes_first():
    assert [one.trait for one in _looks(*_two_ways("air-dry"))] == ["host", "flexibility"]


def test_the_same_gain_for_less_effort_goes_first():
    known = reference(
        *(row(t, states=a) for t, a in (("rot", "white rot"), ("host", "hardwood"))),
        *(row(t, states=b, taxon=BLUE) for t, b in (("rot", "brown rot"), ("host", "conifer"))),
    )
    assert [one.trait for one in _looks(known, specimen())] == ["host", "rot"]


def test_fresh_figures_promise_nothing_of_a_dry_specimen():
    known = reference(
        row("flexibility", states="flexible", condition="fresh"),
        row("flexibility", states="stiff", condition="fresh", taxon=BLUE),
    )
    assert _looks(known, specimen(state="air-dry")) == ()
    assert len(_looks(known, specimen(state="fresh"))) == 1


def test_the_month_is_not_a_look():
    known = reference(
        row("fruiting_months", low=1, high=3), row("fruiting_months", low=7, high=9, taxon=BLUE)
    )
    one = specimen()
    assert see(known, one) == {} and _looks(known, one) == ()


@pytest.mark.parametrize(("gain_bits", "is_first"), [(0.0994, False), (0.0996, True)])
def test_what_drying_destroys_goes_first_from_a_tenth_of_a_bit_on(gain_bits, is_first):
    look = NextLook("flexibility", gain_bits, "eye", True, (), "")
    assert in_short(look, still_open=2, state="fresh").startswith("Do it while fresh") is is_first


@pytest.mark.parametrize(("chance", "is_worth_it"), [(0.0008, False), (0.0009, True)])
def test_a_look_is_worth_the_while_from_a_hundredth_of_a_bit_on(chance, is_worth_it):
    # Two taxa that the trait parts for certain: the gain is the entropy of their shares, 0.0094 and 0.0104 bits.
    known = reference(row("rot", states="white rot"), row("rot", states="brown rot", taxon=BLUE))
    candidates = [
        Candidate(RED, "open", 0.0, (), 1 - chance, ()),
        Candidate(BLUE, "open", 0.0, (), chance, ()),
    ]
    assert bool(next_looks(known, candidates, {}, None, None)) is is_worth_it
