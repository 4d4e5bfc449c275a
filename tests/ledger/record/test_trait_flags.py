"""The figures of this small reference are made up: two taxa, one of them named."""

import json
from dataclasses import replace

import pytest

from ledger.record.trait_flags import trait_flags
from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.check import check_specimen
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.readings import Reading, Specimen
from ledger.traits.reference import Reference
from ledger.traits.vocabulary import Vocabulary
from tests.ledger.record.cases import FIXTURES, flag_table

NAMED, OTHER = "Alpha prima", "Beta secunda"


def _row(taxon, trait, source="book", **more):
    if "states" in more:
        more["states"] = frozenset(more["states"])
    return DocumentedRange(taxon, trait, source_id=source, **more)


REFERENCE = Reference.build(
    Vocabulary.from_json(json.loads((FIXTURES / "traits.json").read_text("utf-8"))),
    [TaxonEntry(NAMED), TaxonEntry(OTHER)],
    [Source("book", "A Book of Brackets, 1901"), Source("other", "Another Book, 1950"), Source("club", "The club")],
    [
        _row(NAMED, "underside", states={"pores"}),
        _row(NAMED, "host", states={"hardwood"}),
        _row(NAMED, "habit", states={"fan"}),
        _row(NAMED, "cap_width", low=20, high=80, unit="mm"),
        _row(NAMED, "cap_width", "other", low=20, high=50, unit="mm"),
        _row(NAMED, "cap_width", "club", high=60, unit="mm", binding=True),
        _row(NAMED, "fruiting_months", low=9, high=11, unit="month"),
        _row(NAMED, "cap_surface", states={"velvety"}),
        _row(NAMED, "pores_per_mm", low=4, high=5, unit="1/mm"),
        _row(OTHER, "underside", states={"smooth"}),
        _row(OTHER, "cap_surface", states={"hairy"}),
    ],
    Calibration(
        traits={
            "underside": TraitCalibration(error_rate=0.0, decisive=True),
            "host": TraitCalibration(error_rate=0.0, decisive=True),
            "cap_width": TraitCalibration(error_rate=0.08, band95=1.1, band98=1.3, spread=0.3),
            "fruiting_months": TraitCalibration(band95=1.0),
        },
        scale=1.0,
        doubtful_below_db=-60.0,
    ),
)  # fmt: skip


def read(trait, *states, **more):
    return Reading(trait, states=frozenset(states), **more)


def checked(*readings, taxon=NAMED, change=None, far_behind_db=10.0, **more):
    """Flags by code of a fresh, mature specimen with these readings; ``change`` alters the result first."""
    specimen = Specimen(taxon, {reading.trait: reading for reading in readings}, state="fresh", age="mature")
    result = check_specimen(REFERENCE, specimen)
    if change:
        result = replace(result, **change)
    flags = trait_flags(result, specimen, REFERENCE, flag_table(), far_behind_db=far_behind_db, **more)
    return {flag.code: flag for flag in flags}


PORES = read("underside", "pores")


def width(*values):
    return Reading("cap_width", values=values, unit="mm", resolution=1)


def test_readings_within_give_no_flag():
    assert checked(PORES, read("host", "hardwood"), width(40)) == {}


def test_a_decisive_trait_outside_stops_and_rules_the_name_out():
    flags = checked(read("underside", "gills"), far_behind_db=1e9)
    assert {code: flag.severity for code, flag in flags.items()} == {
        "trait_outside_decisive": "stop",
        "standing_ruled_out": "stop",
    }
    assert "gills" in flags["trait_outside_decisive"].sentence
    assert "pores" in flags["trait_outside_decisive"].sentence
    assert flags["standing_ruled_out"].numbers["traits"] == ("underside",)


def test_a_measure_outside_is_a_doubt_that_names_reading_and_bounds():
    flag = checked(PORES, width(120))["trait_outside"]
    assert (flag.severity, flag.subject) == ("doubt", "cap_width")
    assert "120 mm" in flag.sentence
    assert "20–80 mm" in flag.sentence


def test_a_slip_of_ten_is_a_note_beside_the_outside_flag():
    flags = checked(PORES, width(400))
    assert flags["trait_outside"].severity == "doubt"
    assert flags["unit_slip"].severity == "note"
    assert "40 mm would be within (÷10)" in flags["unit_slip"].sentence


def test_a_house_rule_is_broken_even_where_a_book_allows():
    flags = checked(PORES, width(70))
    assert "trait_outside" not in flags
    assert "up to 60 mm" in flags["house_rule"].sentence
    assert "The club" in flags["house_rule"].sentence


def test_a_book_that_would_not_allow_it_is_named_in_a_note():
    flag = checked(PORES, width(58))["trait_dissent"]
    assert flag.severity == "note"
    assert "Another Book" in flag.sentence


def test_the_edge_is_a_note():
    assert checked(PORES, width(83))["trait_edge"].severity == "note"


def test_a_month_beyond_the_season_names_the_season():
    flag = checked(PORES, Reading("fruiting_months", values=(3,), unit="month"))["season_outside"]
    assert "Found in March" in flag.sentence
    assert "September, October, November" in flag.sentence


@pytest.mark.parametrize(("known_by", "code"), [("bark", "host_outside"), ("guess", "host_outside_guessed")])
def test_a_host_that_is_not_documented_stops_unless_it_was_guessed(known_by, code):
    flags = checked(PORES, read("host", "conifer"), host_known_by=known_by)
    assert {one for one in flags if one.startswith("host")} == {code}


def test_without_any_decisive_trait_judged_the_missing_ones_are_named():
    flag = checked(width(40))["nothing_decisive"]
    assert flag.numbers["read"] == 1
    assert "underside" in flag.sentence
    assert "nothing_decisive" not in checked(PORES, width(40))


def test_a_doubtful_name_is_flagged_with_its_weight():
    flag = checked(PORES, width(40), change={"standing": "doubtful", "weight_db": -17.2})["standing_doubtful"]
    assert "-17 decibans" in flag.sentence
    assert flag.severity == "doubt"


def test_a_name_in_doubt_through_traits_none_of_which_is_outside_says_so():
    flag = checked(PORES, width(40), change={"standing": "doubtful", "weight_db": -17.2})["standing_doubtful"]
    assert flag.sentence.endswith("(-17 decibans). None of them is outside by itself.")


def test_a_name_in_doubt_names_the_traits_that_are_outside():
    flag = checked(PORES, width(400), change={"standing": "doubtful", "weight_db": -17.2})[
        "standing_doubtful"
    ]
    assert flag.sentence.endswith("(-17 decibans). Outside (1): cap width, along the wood.")


def rivals(db, standing="open"):
    (rival,) = check_specimen(REFERENCE, Specimen(NAMED, {})).look_alikes
    return {"look_alikes": (replace(rival, weight_db=db, standing=standing),), "weight_db": 2.0}


HARDWOOD = read("host", "hardwood")
# One count in a whole millimetre or so: its error is wider than the 4–5 that the book documents.
COARSE = Reading("pores_per_mm", values=(3,), unit="1/mm", resolution=3)


def test_a_name_far_behind_its_best_look_alike_says_whom_and_how_far():
    flag = checked(PORES, HARDWOOD, width(40), change=rivals(16.2))["behind_look_alike"]
    assert flag.sentence == (
        "The readings that could be judged fit Beta secunda clearly better than Alpha prima (14 decibans)."
    )


def test_two_readings_within_do_not_say_that_another_fits_clearly_better():
    assert "behind_look_alike" not in checked(PORES, HARDWOOD, change=rivals(16.2))


def test_one_reading_against_the_name_is_enough_to_say_that_another_fits_better():
    assert "behind_look_alike" in checked(width(120), change=rivals(16.2))


def test_a_reading_whose_error_is_wider_than_the_range_is_not_counted_nor_weighed():
    too_few = checked(PORES, HARDWOOD, COARSE, change=rivals(16.2))
    assert "trait_edge" in too_few and "behind_look_alike" not in too_few
    # Enough others, but the lead was made by all together; by these alone there is none.
    beside = checked(PORES, HARDWOOD, read("habit", "fan"), COARSE, change=rivals(16.2))
    assert "behind_look_alike" not in beside
    assert "behind_look_alike" in checked(PORES, HARDWOOD, read("habit", "fan"), change=rivals(16.2))


def test_a_reading_that_no_book_judges_for_the_name_is_not_weighed():
    zones = read("zonation", "zoned")
    flags = checked(PORES, HARDWOOD, width(40), zones, change=rivals(16.2))
    assert "behind_look_alike" not in flags


@pytest.mark.parametrize("change", [rivals(11.0), rivals(40.0, standing="ruled out")])
def test_a_look_alike_that_is_near_or_ruled_out_is_no_rival(change):
    assert "behind_look_alike" not in checked(PORES, HARDWOOD, width(40), change=change)


def test_a_name_that_is_ruled_out_is_not_said_to_be_behind_as_well():
    flags = checked(read("underside", "gills"), change={**rivals(40.0), "standing": "ruled out"})
    assert "underside" in flags["standing_ruled_out"].sentence
    assert "behind_look_alike" not in flags


def test_without_a_name_or_with_one_the_reference_lacks_there_are_no_trait_flags():
    assert checked(read("underside", "gills"), taxon=None) == {}
    assert checked(read("underside", "gills"), taxon="Gamma tertia") == {}
