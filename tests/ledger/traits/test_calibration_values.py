import json

import pytest

from ledger.traits.calibration_values import Calibration, CalibrationError, TraitCalibration


def test_a_calibration_survives_json():
    row = TraitCalibration(12, 0.05, True, 1.2, 1.5, 0.3, {"a": {"b": 0.1}}, {"a": 0.4})
    made = Calibration({"cap_width": row}, 0.8, -7.5, "abc", {"weights": {"x": 1.0}})
    assert Calibration.from_json(json.loads(json.dumps(made.to_json()))) == made


def test_what_was_not_measured_stays_missing():
    assert TraitCalibration.from_json({"cases": 3}).band95 is None


@pytest.mark.parametrize(
    "data", [{}, {"traits": {}, "scale": 1.0}, {"traits": [], "scale": 1, "doubtful_below_db": 0}]
)
def test_an_incomplete_calibration_says_how_to_make_it_anew(data):
    with pytest.raises(CalibrationError, match=r"manage\.py calibrate"):
        Calibration.from_json(data)
