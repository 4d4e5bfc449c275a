"""Sums and roundings in JavaScript against Python's own."""

import math
from collections.abc import Iterator
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ledger.traits.evidence_tables import to_grid
from tests.js_side import Node

SIZES = st.floats(min_value=-1e15, max_value=1e15)


@pytest.fixture(scope="module")
def js() -> Iterator[Node]:
    side = Node("run_sums.mjs")
    yield side
    side.close()


def _asked(js, call, *args):
    js.send({"call": call, "args": args})
    return [float(one) for one in js.receive()]  # JavaScript writes a large double as a whole number


@settings(max_examples=300)
@given(st.lists(SIZES, max_size=30))
def test_sums_are_exact_and_rounded_once(js, values):
    assert _asked(js, "fsum", [values]) == [math.fsum(values)]


@pytest.mark.parametrize(
    "values",
    [
        [1e16, 1.0, 1e-16],  # a half that the smallest part decides
        [1e16, 1.0, -1e-16],
        [1e16, -2.0, -1.0, -1e-16],
        [1e100, 1.0, -1e100, 1e-100],
        [0.1] * 10,
        [],
    ],
)
def test_halves_are_decided_by_what_is_left_below(js, values):
    assert _asked(js, "fsum", [values]) == [math.fsum(values)]


def test_sums_of_all_sizes_are_the_same(js):
    random = Random(7)
    several = [
        [random.uniform(-1, 1) * 10.0 ** random.randint(-20, 20) for _ in range(random.randint(1, 40))]
        for _ in range(3000)
    ]
    assert _asked(js, "fsum", *([values] for values in several)) == [math.fsum(values) for values in several]


@settings(max_examples=300)
@given(st.lists(st.floats(-500, 500) | st.integers(-40_000, 40_000).map(lambda n: n / 64), min_size=1))
def test_decimals_are_rounded_as_python_rounds_them(js, values):
    for digits in (2, 3, 4):
        wanted = [round(value, digits) + 0.0 for value in values]
        assert _asked(js, "rounded", *([value, digits] for value in values)) == wanted


@pytest.mark.parametrize("value", [0.125, -0.125, 0.375, 2.675, 1.005, -0.001, 0.0, 1e-300, 0.5, 123456.125])
def test_halves_go_to_the_even_digit(js, value):
    assert _asked(js, "rounded", [value, 2]) == [round(value, 2) + 0.0]


@settings(max_examples=300)
@given(st.lists(st.floats(-1e5, 1e5), min_size=1))
def test_totals_lie_on_the_same_grid(js, values):
    assert _asked(js, "toGrid", *([value, 1e6] for value in values)) == [
        to_grid(value, 1e6) for value in values
    ]
