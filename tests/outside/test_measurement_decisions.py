"""Decisions near a limit, worked outside this project, against the check.

Source: data/measurement_decision_worked_examples.csv: twelve decisions by the rule of ISO 14253-1 (a guard band of the
expanded uncertainty U on either side of a limit; seen in secondary copies), two of them published pairs, ten
constructed for this kind of reading. Each goes through the whole check, with a band of 1 (sources that agree).
"""

import csv
import math
from pathlib import Path

import pytest

from ledger.traits.calibration_values import Calibration, TraitCalibration
from ledger.traits.check import check_specimen
from ledger.traits.ranges import DocumentedRange, Source, TaxonEntry
from ledger.traits.readings import Reading, Specimen
from ledger.traits.reference import Reference
from ledger.traits.reference_files import read_vocabulary

HERE = Path(__file__).resolve().parent
WORDS = {"conforms": "within", "cannot be proven": "edge", "does not conform": "outside"}


def _rows():
    with (HERE / "data" / "measurement_decision_worked_examples.csv").open(
        encoding="utf-8", newline=""
    ) as file:
        return list(csv.DictReader(file))


def _outcome(row):
    low, high, value, expanded = (
        float(row[name])
        for name in ("lower_limit", "upper_limit", "measured_value", "expanded_uncertainty_U_k2")
    )
    taxon, trait = "Exemplum exempli", "pores_per_mm"
    known = Reference.build(
        read_vocabulary(HERE.parents[1] / "fixtures" / "traits.json"),
        [TaxonEntry(taxon)],
        [Source("example", "Worked example")],
        [DocumentedRange(taxon, trait, low=low, high=high, unit="1/mm", source_id="example")],
        Calibration({trait: TraitCalibration(band95=1.0, band98=1.0)}, 1.0, -10.0),
    )
    # U = 2 d / sqrt(12): the resolution that gives the example's U.
    reading = Reading(trait, values=(value,), resolution=expanded * math.sqrt(12) / 2)
    result = check_specimen(known, Specimen(taxon, {trait: reading}))
    return next(one for one in result.traits if one.trait == trait)


def test_all_twelve_examples_are_there():
    rows = _rows()
    assert len(rows) == 12 and {row["decision_iso14253_1_style_w_equals_U"] for row in rows} == set(WORDS)


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['measured_value']}: {row['note']}")
def test_the_check_decides_as_the_worked_example(row):
    assert _outcome(row).outcome == WORDS[row["decision_iso14253_1_style_w_equals_U"]]


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['measured_value']}: {row['note']}")
def test_the_uncertainty_shown_is_that_of_the_example(row):
    assert _outcome(row).measured.expanded_uncertainty == pytest.approx(
        float(row["expanded_uncertainty_U_k2"])
    )


def test_an_empty_zone_of_acceptance_is_told_and_does_not_fail():
    """U = 2.0 leaves the acceptance zone 6.0 to 5.0 empty."""
    row = next(row for row in _rows() if float(row["acceptance_lower"]) > float(row["acceptance_upper"]))
    assert "nothing can be proven" in _outcome(row).why
