"""Spore statistics against NumPy, SciPy and a constructed example with published conventions.

`spore_statistics_constructed_example.csv`: 30 constructed spores (not nature) for the notation of Tulloss & Lindgren 2005,
Mycotaxon 91: 193-194; free to use. The expected figures stand below, computed apart from this program.
"""

import csv
import random
import statistics as standard
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from ledger.spores.notation import written
from ledger.spores.statistics import figures, percentile, quotients, summary
from ledger.spores.typed import parse_spores

DATA = Path(__file__).parent / "data" / "spore_statistics_constructed_example.csv"
with DATA.open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(file))
PAIRS = [(float(row["length_um"]), float(row["width_um"])) for row in ROWS]

# min, 5 %, mean, median, 95 %, max, s (n - 1), CV %, s / sqrt(n)
EXPECTED = {
    "length": (5.2, 5.49, 6.2600, 6.3, 7.00, 7.2, 0.4789, 7.65, 0.0874),
    "width": (1.9, 2.10, 2.3167, 2.3, 2.555, 2.9, 0.1913, 8.26, 0.0349),
    "quotient": (2.0, 2.1565, 2.7201, 2.7273, 3.2652, 3.3684, 0.3038, 11.17, 0.0555),
}


@pytest.mark.parametrize("name", EXPECTED)
def test_the_constructed_example_comes_out_to_the_last_digit(name):
    row = getattr(summary(PAIRS), name)
    found = (
        *(row.smallest, row.low, row.mean, row.median, row.high, row.largest),
        *(row.sd, row.spread_percent, row.error_of_mean),
    )
    half_of_the_last_digit = (*(6e-5,) * 7, 6e-3, 6e-5)
    for ours, expected, margin in zip(found, EXPECTED[name], half_of_the_last_digit, strict=True):
        assert ours == pytest.approx(expected, abs=margin)


def test_the_printed_line_of_the_constructed_example():
    assert written(summary(PAIRS), fruit_bodies=1) == (
        "[30/1/1] (5.2–)5.5–7.0(–7.2) × (1.9–)2.1–2.6(–2.9) µm, L = 6.26 µm, W = 2.32 µm, "
        "Q = (2.0–)2.2–3.3(–3.4), Qm = 2.72, n = 30"
    )


def test_the_mean_of_quotients_is_not_the_quotient_of_means():
    found = summary(PAIRS)
    assert (round(found.quotient.mean, 2), round(found.quotient_of_means, 2)) == (2.72, 2.70)


def test_the_quotients_are_those_of_the_file():
    assert quotients(PAIRS) == pytest.approx([float(row["q_length_over_width"]) for row in ROWS], abs=5e-5)


def test_the_file_pasted_as_it_is_gives_the_same_pairs():
    assert list(parse_spores(DATA.read_text("utf-8")).pairs) == PAIRS


def _drawn(seed):
    draw = random.Random(seed)
    return [round(draw.gauss(6, 0.5), draw.choice((0, 1, 3))) for _ in range(draw.randint(2, 120))]


@pytest.mark.parametrize("seed", range(200))
def test_percentiles_are_those_of_numpy_and_scipy_by_the_named_formula(seed):
    values = _drawn(seed)
    for share in (0.0, 0.05, 0.25, 0.5, 0.95, 1.0):
        ours = percentile(values, share)
        assert ours == pytest.approx(np.percentile(values, 100 * share, method="linear"), rel=1e-12)
        # alphap = betap = 1 is type 7 in SciPy's terms.
        assert ours == pytest.approx(stats.mstats.mquantiles(values, share, alphap=1, betap=1)[0], rel=1e-12)


@pytest.mark.parametrize("seed", range(50))
def test_means_and_spreads_are_those_of_scipy_and_the_standard_library(seed):
    values = _drawn(seed)
    row = figures(values)
    assert row.mean == pytest.approx(np.mean(values), rel=1e-12)
    assert row.median == pytest.approx(standard.median(values), rel=1e-12)
    assert row.sd == pytest.approx(standard.stdev(values), rel=1e-9, abs=1e-12)
    assert row.error_of_mean == pytest.approx(stats.sem(values), rel=1e-9, abs=1e-12)
    assert row.spread_percent == pytest.approx(100 * stats.variation(values, ddof=1), rel=1e-9, abs=1e-12)
