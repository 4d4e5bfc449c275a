import pytest

from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.standing import Tally, standing
from tests.ledger.traits.making import BLUE, RED, calibrated, checked, reference, row, specimen

DECISIVE = calibrated(
    underside={"decisive": True},
    pores_per_mm={"decisive": True, "band95": 1.2, "band98": 1.5},
    rot={"decisive": True},
    zonation={"error_rate": 0.16},
)
ROWS = (
    row("underside", states="pores"),
    row("pores_per_mm", low=4, high=5),
    row("zonation", states="zoned"),
    row("underside", states="smooth", taxon=BLUE),
)
PORES = {"values": [4.5], "resolution": 0.1}


def _standing(**readings):
    return checked(reference(*ROWS, calibration=DECISIVE), specimen(**readings)).standing


def test_a_decisive_trait_outside_rules_out():
    assert _standing(underside="smooth") == "ruled out"


def test_a_supporting_trait_outside_leaves_open():
    assert _standing(underside="pores", pores_per_mm=PORES, zonation="unzoned") == "open"


@pytest.mark.parametrize(("count", "expected"), [(5.5, "fits"), (6.5, "open"), (8.0, "ruled out")])
def test_numbers_rule_out_only_beyond_the_wider_band(count, expected):
    assert _standing(underside="pores", pores_per_mm={"values": [count], "resolution": 0.1}) == expected


def test_fits_needs_every_documented_decisive_trait_read():
    assert _standing(underside="pores") == "open"
    assert _standing(underside="pores", pores_per_mm=PORES) == "fits"


def test_what_is_missing_is_named_but_not_what_is_undocumented():
    found = checked(reference(*ROWS, calibration=DECISIVE), specimen(underside="pores"))
    assert found.missing == ("pores_per_mm",)


def test_a_decisive_trait_that_could_not_be_told_is_still_missing():
    known = reference(*ROWS, calibration=DECISIVE)
    found = checked(known, specimen(underside={"looked": "cannot say"}, pores_per_mm=PORES))
    assert (found.standing, found.missing) == ("open", ("underside",))


def test_with_nothing_read_everything_is_open():
    found = checked(reference(*ROWS, calibration=DECISIVE), specimen())
    assert found.standing == "open" and {c.standing for c in found.look_alikes} == {"open"}


def test_a_taxon_without_decisive_documentation_never_fits():
    known = reference(row("zonation", states="zoned"), calibration=DECISIVE)
    assert checked(known, specimen(zonation="zoned")).standing == "open"


def test_a_broken_house_rule_keeps_from_fitting():
    known = reference(*ROWS, row("cap_width", high=80, binding=True), calibration=DECISIVE)
    readings = {"underside": "pores", "pores_per_mm": PORES}
    assert checked(known, specimen(**readings, cap_width=40)).standing == "fits"
    assert checked(known, specimen(**readings, cap_width=90)).standing == "open"


@pytest.mark.parametrize(("weight", "expected"), [(-10.1, "doubtful"), (-9.9, "fits")])
def test_doubtful_is_what_the_evidence_outweighs(weight, expected):
    made = Tally(agreed={"underside"})
    assert standing(reference(*ROWS, calibration=DECISIVE), made, weight, ()) == expected


def test_ruled_out_goes_before_doubtful():
    made = Tally(against=["underside"], ruled_out=True)
    calibration = Calibration({"underside": TraitCalibration(decisive=True)}, 1.0, 0.0)
    assert standing(reference(*ROWS, calibration=calibration), made, -50.0, ()) == "ruled out"


def test_a_named_taxon_stands_as_it_does_among_the_look_alikes():
    known = reference(*ROWS, calibration=DECISIVE)
    readings = {"underside": "smooth", "zonation": "zoned"}
    as_named = checked(known, specimen(RED, **readings)).standing
    among = checked(known, specimen(BLUE, **readings)).look_alikes
    assert [c.standing for c in among if c.taxon == RED] == [as_named]
