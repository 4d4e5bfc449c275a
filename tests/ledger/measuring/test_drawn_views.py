"""A small sample of what `make bench-photos` does at length: drawn views of known truth, a quarter of their size."""

from functools import cache

import numpy as np

from ledger.measuring.detect import CardView, find_card
from tests.bench.card_less import KINDS_OF, card_less
from tests.bench.card_trials import TUNING, trials

MANY = 12


@cache
def sample():
    return list(trials(TUNING + 1, MANY, size=(2000, 1500)))


def lines():
    return [line for trial in sample() for line in trial.lines]


def test_the_card_is_found_in_every_drawn_view():
    assert [trial.answer for trial in sample() if not trial.found] == []


def test_lengths_are_right_to_a_percent_where_the_points_are():
    errors = np.abs([line.bare_error for line in lines()])
    assert np.median(errors) < 0.001
    assert np.quantile(errors, 0.95) < 0.01


def test_the_stated_uncertainty_covers_most_of_the_true_lengths():
    # 72 lines; of 95 % covered, fewer than 63 would be one case in a thousand.
    assert sum(line.covered for line in lines()) >= 63


def test_nothing_else_is_taken_for_a_card():
    answers = [find_card(card_less(what, np.random.default_rng(at))) for at, what in enumerate(KINDS_OF)]
    assert [answer for answer in answers if isinstance(answer, CardView)] == []
