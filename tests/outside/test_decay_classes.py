"""The kept scales of decay against the handbook's table.

Source: USDA Forest Service, FIA Database Description and User Guide, FIADB v9.3, sections 3.1.35 (standing dead trees)
and 5.2.15 (down wood); US government work, public domain; criteria reworded in `wood_decay_classes_usda_fia.csv`.
"""

import csv
import json
from pathlib import Path

import pytest

from ledger.record.decay import scales_from_json

HERE = Path(__file__).parent
OBJECTS = {"down log": "usda-fia-log", "standing dead tree": "usda-fia-snag"}
SCALES = scales_from_json(json.loads((HERE.parents[1] / "fixtures" / "decay_scales.json").read_text("utf-8")))

with (HERE / "data" / "wood_decay_classes_usda_fia.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['object']} {row['class']}")
def test_each_class_keeps_every_criterion_of_the_handbook(row):
    step = SCALES[OBJECTS[row["object"]]].classes[row["class"]]
    named = {name: text for name, text in row.items() if name not in ("object", "class", "source") and text}
    assert dict(step.criteria) == named


@pytest.mark.parametrize("wood", OBJECTS)
def test_both_scales_have_the_handbooks_five_classes_and_no_other(wood):
    classes = [row["class"] for row in ROWS if row["object"] == wood]
    assert list(SCALES[OBJECTS[wood]].classes) == classes == ["1", "2", "3", "4", "5"]


@pytest.mark.parametrize("wood", OBJECTS)
def test_each_scale_names_the_section_it_rests_on(wood):
    section = next(row["source"] for row in ROWS if row["object"] == wood).split(" s")[1].split()[0]
    assert section in SCALES[OBJECTS[wood]].source


def test_only_class_one_of_down_logs_expects_no_brackets():
    """The handbook: conks of stem decay are absent in class 1."""
    bare = [row["class"] for row in ROWS if "conks of stem decay absent" in row["texture_of_rotten_part"]]
    kept = [step.code for step in SCALES["usda-fia-log"].classes.values() if not step.brackets_expected]
    assert kept == bare == ["1"]


def test_down_wood_is_tallied_from_three_inches_and_class_five_from_five():
    """FIADB v9.3: transect diameter of at least 3 in for classes 1 to 4, 5 in for class 5 (1 in = 2.54 cm)."""
    least = [step.least_diameter_cm for step in SCALES["usda-fia-log"].classes.values()]
    assert least == [round(inches * 2.54, 1) for inches in (3, 3, 3, 3, 5)]
