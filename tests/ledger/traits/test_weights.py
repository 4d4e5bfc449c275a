import math

import pytest

from ledger.traits.weights import Choice, fit, shortened, solve, temperature


def test_with_two_candidates_and_one_trait_the_weight_is_the_log_odds():
    # Logistic regression on x = 1 with 8 of 10 right has the closed solution ln(0.8/0.2).
    cases = [Choice((0,), [[1.0], [0.0]], 0)] * 8 + [Choice((0,), [[1.0], [0.0]], 1)] * 2
    assert fit(cases, 1, ridge=0.0) == pytest.approx([math.log(4.0)], abs=1e-6)


def test_a_trait_no_case_has_keeps_the_middle():
    cases = [Choice((0,), [[1.0], [0.0]], 0), Choice((0,), [[1.0], [0.0]], 1)]
    assert fit(cases, 2, ridge=1.0, middle=0.7)[1] == pytest.approx(0.7)


def test_a_trait_that_misleads_gets_no_weight_and_never_less():
    assert fit([Choice((0,), [[1.0], [0.0]], 1)] * 50, 1, ridge=0.1) == [0.0]


def test_a_strong_ridge_holds_the_weights_in_the_middle():
    cases = [Choice((0,), [[1.0], [0.0]], 0)] * 10
    assert fit(cases, 1, ridge=1e6) == pytest.approx([0.7], abs=1e-3)


def test_solve_agrees_with_a_system_solved_by_hand():
    # 4x + 2y = 2, 2x + 3y = 5 has x = -1/2, y = 2.
    assert solve([[4.0, 2.0], [2.0, 3.0]], [2.0, 5.0]) == pytest.approx([-0.5, 2.0])


def test_shortened_keeps_the_right_candidate_even_if_it_is_last():
    choice = shortened([3, 5], [[5.0, 4.0, 3.0, -9.0], [0.0, 0.0, 0.0, 0.0]], right=3, keep=2)
    assert choice.candidates == [[5.0, 0.0], [-9.0, 0.0]] and choice.right == 1


def test_temperature_halves_sums_that_are_twice_too_sure():
    # Right 8 times in 10 at a stated log-odds of 2 ln 4: the true log-odds is half of it.
    sums = [([2 * math.log(4.0), 0.0], 0)] * 8 + [([2 * math.log(4.0), 0.0], 1)] * 2
    assert temperature(sums) == pytest.approx(0.5, abs=2e-3)


def test_by_itself_a_weight_rests_where_the_usual_ridge_and_one_case_hold_it():
    # 2 * 10 * (w - 0.7) is what the ridge pulls back, 1 / (1 + e^w) what one case that was right pulls on.
    (weight,) = fit([Choice((0,), [[1.0], [0.0]], 0)], 1)
    assert 20 * (weight - 0.7) == pytest.approx(1 / (1 + math.exp(weight)), abs=1e-5)
