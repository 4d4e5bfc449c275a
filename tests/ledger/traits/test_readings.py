import math

import pytest

from ledger.traits.readings import (
    _RANGE_IN_SD,
    Reading,
    SpecimenError,
    estimate,
    mean_uncertainty,
    range_mean_uncertainty,
    resolution_uncertainty,
    validate,
)
from tests.ledger.traits.making import vocabulary


@pytest.mark.parametrize(("d", "u"), [(1, 0.2887), (0.5, 0.1443), (0.1, 0.0289), (0.01, 0.0029)])
def test_the_resolution_gives_d_over_root_twelve(d, u):
    """GUM F.2.2.1 (JCGM 100:2008; clause number from memory); the four values are arithmetic."""
    assert resolution_uncertainty(d) == pytest.approx(u, abs=5e-5)


def test_the_mean_of_replicates_adds_spread_and_resolution():
    """s of 4, 5, 6 is 1: u = sqrt(1/3 + 1/12)."""
    assert mean_uncertainty((4.0, 5.0, 6.0), 1.0) == pytest.approx(math.sqrt(1 / 3 + 1 / 12))


def test_one_reading_has_no_spread():
    assert mean_uncertainty((4.0,), 1.0) == pytest.approx(1 / math.sqrt(12))


def test_low_and_high_without_n_are_a_rectangle():
    """GUM 4.3.7 (from memory): half-width a gives a / sqrt(3)."""
    assert range_mean_uncertainty(4, 6, None, 1e-9) == pytest.approx(1 / math.sqrt(3))


@pytest.mark.parametrize("n", [2, 3, 5, 10, 25])
def test_the_range_in_standard_deviations_agrees_with_its_integral(n):
    """d2 of n normal draws = integral of 1 - F^n - (1 - F)^n, integrated here with the normal F."""
    step = 0.001
    total = 0.0
    for i in range(-8000, 8001):
        f = 0.5 * (1 + math.erf(i * step / math.sqrt(2)))
        total += (1 - f**n - (1 - f) ** n) * step
    assert _RANGE_IN_SD[n - 2] == pytest.approx(total, abs=6e-4)


def test_more_pieces_between_the_same_ends_give_a_surer_mean():
    few, many = (range_mean_uncertainty(4, 6, n, 0.1) for n in (3, 20))
    assert many < few


def test_a_reading_of_states_has_no_numbers():
    assert estimate(Reading("underside", states=frozenset({"pores"})), 1.0) is None


def test_one_bound_alone_stands_for_both():
    found = estimate(Reading("cap_width", high=40.0), 1.0)
    assert found is not None and (found.low, found.high, found.mean) == (40.0, 40.0, 40.0)


@pytest.mark.parametrize(
    ("trait", "reading", "message"),
    [
        ("cap_width", Reading("cap_width", values=(0.0,)), "not above zero.*absent"),
        ("cap_width", Reading("cap_width", values=(-3.0,)), "not above zero"),
        ("cap_width", Reading("cap_width", values=(math.nan,)), "not a usable number"),
        ("cap_width", Reading("cap_width", values=(math.inf,)), "not a usable number"),
        ("cap_width", Reading("cap_width", low=9.0, high=3.0), "low 9 is above high 3"),
        ("cap_width", Reading("cap_width", values=(3.0,), low=3.0), "not both"),
        ("cap_width", Reading("cap_width", values=(3.0, 4.0), n=3), "n = 3 with 2 values"),
        ("cap_width", Reading("cap_width", values=(3.0,), unit="cm"), "convert it to mm"),
        ("cap_width", Reading("cap_width", states=frozenset({"pores"})), "has no states"),
        ("underside", Reading("underside", states=frozenset({"holes"})), "unknown state 'holes'"),
        ("underside", Reading("underside", values=(3.0,)), "not measured"),
        ("underside", Reading("underside", looked="glanced"), "none of read"),
        ("underside", Reading("underside", looked="absent", states=frozenset({"pores"})), "and yet gives"),
        ("fruiting_months", Reading("fruiting_months", values=(13.0,)), "1 to 12"),
    ],
)
def test_an_impossible_reading_is_refused_with_the_reason(trait, reading, message):
    with pytest.raises(SpecimenError, match=message):
        validate(vocabulary().traits[trait], reading)
