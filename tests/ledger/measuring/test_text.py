import math

import pytest

from ledger.measuring.text import with_uncertainty


@pytest.mark.parametrize(
    ("value", "expanded", "unit", "said"),
    [
        (57.438, 0.83, "mm", "57.4 ± 0.8 mm"),
        (57.438, 0.14, "mm", "57.44 ± 0.14 mm"),
        (57.438, 0.196, "mm", "57.4 ± 0.2 mm"),
        (4.217, 0.3, "1/mm", "4.2 ± 0.3 per mm"),
        (1234.5, 31.0, "mm", "1230 ± 30 mm"),
        (0.0123, 0.0009, "mm", "0.0123 ± 0.0009 mm"),
        (12.345, 0.0, "mm", "12.3 mm"),
        (99.97, 0.96, "mm", "100.0 ± 1.0 mm"),
    ],
)
def test_as_many_digits_are_said_as_the_uncertainty_has_a_say_in(value, expanded, unit, said):
    assert with_uncertainty(value, expanded, unit) == said


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_what_is_no_number_is_not_said(number):
    assert with_uncertainty(number, 1.0, "mm") == with_uncertainty(1.0, number, "mm") == "cannot be said"
