"""Facts of the trade about the turkey tail and what is taken for it, each as a specimen through the whole check.

Common practice, no source: every fact here is what people who collect brackets tell one another. The check runs on the
reference as delivered (fixtures/), measured bands and weights included.
"""

import json
from functools import cache
from pathlib import Path

import pytest

from ledger.traits.calibration_values import Calibration
from ledger.traits.check import check_specimen
from ledger.traits.reference import Reference
from ledger.traits.reference_files import read_reference
from ledger.traits.specimen_json import parse_specimen

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
TURKEY_TAIL = "Trametes versicolor"
TYPICAL = {
    "underside": {"states": ["pores"]},
    "flexibility": {"states": ["flexible"]},
    "pore_surface_colour": {"states": ["white"]},
    "margin_colour": {"states": ["white"]},
    "cap_surface": {"states": ["velvety"]},
    "zonation": {"states": ["zoned"]},
    "cap_colour": {"states": ["brown", "grey", "buff"]},
    "cap_width": {"values": [38, 24, 31], "resolution": 1},
    "cap_length": {"values": [27, 14, 20], "resolution": 1},
    "cap_thickness": {"values": [2, 3], "resolution": 1},
    "pores_per_mm": {"values": [4, 4.5, 4], "resolution": 0.5},
    "host": {"states": ["hardwood"]},
    "substrate_state": {"states": ["fallen log"]},
    "fruiting_months": {"values": [10]},
}


@cache
def reference():
    read = read_reference(FIXTURES)
    calibration = Calibration.from_json(
        json.loads((FIXTURES / "calibration.json").read_text(encoding="utf-8"))
    )
    return Reference.build(read.vocabulary, read.taxa, read.sources, read.ranges, calibration)


def check(taxon=TURKEY_TAIL, state="fresh", age="mature", **readings):
    data = {"taxon": taxon, "state": state, "age": age, "readings": readings}
    return check_specimen(reference(), parse_specimen(data, reference().vocabulary))


def outcome(trait, reading, **more):
    found = check(**{trait: reading}, **more)
    return next(one for one in found.traits if one.trait == trait)


def states(*codes):
    return {"states": list(codes)}


def values(*numbers, resolution=1):
    return {"values": list(numbers), "resolution": resolution}


def candidate(result, taxon):
    return next(one for one in result.look_alikes if one.taxon == taxon)


def test_a_typical_fresh_turkey_tail_agrees_in_every_reading():
    """Common practice, no source."""
    found = check(**TYPICAL)
    read = {one.trait: one.outcome for one in found.traits if one.trait in TYPICAL}
    assert set(read.values()) == {"within"}
    assert found.standing in ("fits", "open") and not any(one.house_rule for one in found.traits)


def test_a_typical_turkey_tail_comes_among_the_first_three_unnamed():
    """Common practice, no source: these readings are enough to think of it."""
    assert TURKEY_TAIL in [one.taxon for one in check(taxon=None, **TYPICAL).look_alikes[:3]]


def test_it_has_true_pores():
    """Common practice, no source."""
    found = outcome("underside", states("pores"))
    assert found.outcome == "within" and found.decisive
    assert "common-practice" in {row.source_id for row in found.documented}


def test_its_pores_are_so_fine_that_a_lens_is_wanted():
    """Common practice, no source: pores plain to the naked eye, two in a millimetre's width and a half, are too coarse."""
    assert reference().vocabulary.traits["pores_per_mm"].effort == "lens"
    assert outcome("pores_per_mm", values(4, 4.5, 4, resolution=0.1)).outcome == "within"
    assert outcome("pores_per_mm", values(0.7, resolution=0.1)).outcome == "outside"


def test_its_pores_are_white_when_fresh():
    """Common practice, no source."""
    found = outcome("pore_surface_colour", states("white"))
    assert found.outcome == "within" and "common-practice" not in found.dissent


@pytest.mark.parametrize(("state", "age"), [("air-dry", "mature"), ("oven-dry", None), ("fresh", "old")])
def test_its_pores_brown_as_it_dries_or_ages(state, age):
    """Common practice, no source."""
    found = outcome("pore_surface_colour", states("brown"), state=state, age=age)
    assert found.outcome == "within" and "common-practice" not in found.dissent


def test_brown_pores_on_a_fresh_cap_in_its_prime_are_not_common_practice():
    """Common practice, no source: a book allows brown, the trade's own row dissents and is named."""
    assert "common-practice" in outcome("pore_surface_colour", states("brown")).dissent


@pytest.mark.parametrize("surface", ["velvety", "hairy"])
def test_its_cap_is_velvety_or_finely_hairy(surface):
    """Common practice, no source."""
    assert outcome("cap_surface", states(surface)).outcome == "within"


@pytest.mark.parametrize("surface", ["varnished", "crusted", "scaly"])
def test_a_varnished_crusted_or_scaly_cap_speaks_against_it(surface):
    """Common practice, no source."""
    assert outcome("cap_surface", states(surface)).outcome == "outside"


def test_its_cap_shows_several_colours():
    """Common practice, no source."""
    assert outcome("cap_colour", states("brown", "grey", "buff", "black")).outcome == "within"


def test_its_cap_is_clearly_zoned():
    """Common practice, no source."""
    assert outcome("zonation", states("zoned")).outcome == "within"
    assert outcome("zonation", states("unzoned")).outcome == "outside"


def test_its_margin_is_pale():
    """Common practice, no source."""
    assert outcome("margin_colour", states("white", "cream")).outcome == "within"
    assert outcome("margin_colour", states("brown")).outcome == "outside"


def test_it_is_thin():
    """Common practice, no source."""
    assert outcome("cap_thickness", values(3)).outcome == "within"
    assert outcome("cap_thickness", values(30)).outcome == "outside"


def test_it_is_flexible_when_fresh():
    """Common practice, no source. The reference had no row on bending: entered as common practice, fresh only."""
    assert outcome("flexibility", states("flexible")).outcome == "within"
    assert outcome("flexibility", states("stiff")).outcome == "outside"


@pytest.mark.parametrize(
    ("state", "age"),
    [
        ("air-dry", "mature"),
        ("oven-dry", "mature"),
        ("moist", "mature"),
        ("weathered", "old"),
        ("fresh", "old"),
    ],
)
@pytest.mark.parametrize("bending", ["stiff", "flexible"])
def test_a_dry_or_old_one_cannot_be_told_by_its_bending(state, age, bending):
    """Common practice, no source: stiffer when not fresh, so only a fresh cap can be judged by it."""
    found = outcome("flexibility", states(bending), state=state, age=age)
    assert found.outcome == "cannot tell" and "fresh" in found.why and "stiffen" in found.why


def test_a_stiff_dry_turkey_tail_is_not_held_against_it():
    """Common practice, no source."""
    readings = {**TYPICAL, "flexibility": states("stiff"), "pore_surface_colour": states("brown")}
    found = check(state="air-dry", **readings)
    assert found.standing in ("fits", "open")
    assert all(one.outcome != "outside" for one in found.traits)


@pytest.mark.parametrize(("width", "length"), [(20, 10), (30, 20), (40, 30)])
def test_a_single_cap_is_20_to_40_mm_across_and_10_to_30_mm_long(width, length):
    """Common practice, no source."""
    for trait, size in (("cap_width", width), ("cap_length", length)):
        found = outcome(trait, values(size, resolution=0.1))
        assert found.outcome == "within" and found.dissent == () and found.house_rule is None


@pytest.mark.parametrize("width", [82, 95, 110])
def test_a_cap_over_80_mm_breaks_the_house_rule_even_where_a_book_allows_it(width):
    """Common practice, no source: it is taken for something else."""
    found = outcome("cap_width", values(width))
    assert found.outcome == "within" and found.house_rule == "common-practice"
    assert check(**{**TYPICAL, "cap_width": values(width)}).standing != "fits"


def test_a_cap_of_80_mm_or_a_small_one_breaks_no_house_rule():
    """Common practice, no source."""
    assert outcome("cap_width", values(80)).house_rule is None
    assert outcome("cap_width", values(8)).house_rule is None


@pytest.mark.parametrize("wood", ["dead standing", "stump", "fallen log", "branch"])
def test_it_grows_on_dead_wood(wood):
    """Common practice, no source."""
    assert outcome("substrate_state", states(wood)).outcome == "within"
    assert outcome("substrate_state", states("living tree")).outcome == "outside"


@pytest.mark.parametrize(("month", "dissent"), [(10, ()), (12, ()), (2, ()), (6, ("common-practice",))])
def test_it_is_found_mostly_in_autumn_into_early_spring(month, dissent):
    """Common practice, no source: a book says all year, so June is within, and the trade's own row dissents."""
    found = outcome("fruiting_months", {"values": [month]})
    assert found.outcome == "within" and found.dissent == dissent


SPEAKS_FOR = [
    ("Stereum hirsutum", {"underside": states("smooth")}, "mature"),
    ("Stereum ostrea", {"underside": states("smooth")}, "mature"),
    ("Trichaptum biforme", {"underside": states("teeth"), "pore_surface_colour": states("violet")}, "young"),
    ("Trichaptum biforme", {"underside": states("teeth"), "margin_colour": states("violet")}, "old"),
    ("Trametes betulina", {"underside": states("gills")}, "mature"),
    ("Daedaleopsis confragosa", {"underside": states("maze")}, "mature"),
]


@pytest.mark.parametrize(("other", "readings", "age"), SPEAKS_FOR)
def test_another_underside_rules_out_the_turkey_tail(other, readings, age):
    """Common practice, no source: smooth, teeth, gills and maze each rule it out."""
    found = check(age=age, **readings)
    assert found.standing == "ruled out"
    assert next(one for one in found.traits if one.trait == "underside").outcome == "outside"


@pytest.mark.parametrize(("other", "readings", "age"), SPEAKS_FOR)
def test_another_underside_speaks_for_the_look_alike(other, readings, age):
    """Common practice, no source."""
    found = check(age=age, **readings)
    spoken_for = candidate(found, other)
    assert spoken_for.standing in ("fits", "open")
    assert spoken_for.weight_db > 0 > found.weight_db


def test_an_underside_rules_out_also_on_a_dry_specimen():
    """Common practice, no source: the underside holds in any state."""
    assert check(state="air-dry", age="old", underside=states("smooth")).standing == "ruled out"
