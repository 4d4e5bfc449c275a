"""Uncertainty from precision against the published table.

Source: Chapman & Wieczorek 2020, Georeferencing Best Practices, v1.1.1 (coordinate_precision_uncertainty_table.csv).
The table rounds up, but five entries print the lower metre with a fraction below 0.13; hence the band of the test.
Half diagonals: Zermoglio et al. 2020, Georeferencing Quick Reference Guide (grids of 1 m to 1 km).
"""

import csv
from pathlib import Path

import pytest

from ledger.places.blur import coarsen
from ledger.places.precision import (
    degree_of_latitude_m,
    degree_of_longitude_m,
    half_diagonal_m,
    uncertainty_from_precision_m,
)

DATA = Path(__file__).parent / "data" / "coordinate_precision_uncertainty_table.csv"
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))


def test_no_row_was_lost() -> None:
    assert len(ROWS) == 52


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['precision_label']} at {row['latitude_deg']}")
def test_the_published_uncertainty_is_ours_rounded_up(row: dict[str, str]) -> None:
    published = float(row["published_uncertainty_m"])
    ours = uncertainty_from_precision_m(
        latitude=float(row["latitude_deg"]), precision_deg=float(row["precision_decimal_degrees"])
    )
    assert published - 1 < ours <= published + 0.2


# Chapman & Wieczorek 2020, worked example: 10.27, -123.6 read to 0.01 degree: 1.1061, 1.0955 and together 1.5568 km.
def test_the_worked_example_of_the_handbook() -> None:
    assert 0.01 * degree_of_latitude_m(10.27) == pytest.approx(1106.1, abs=0.06)
    assert 0.01 * degree_of_longitude_m(10.27) == pytest.approx(1095.5, abs=0.06)
    assert uncertainty_from_precision_m(latitude=10.27, precision_deg=0.01) == pytest.approx(1556.8, abs=0.06)


# The same book: printed 10.00000, -123.50000 but known to half a degree: 55.6, 54.75 and 77.87 km. Trailing zeros lie.
def test_half_a_degree_is_far_more_than_five_printed_noughts() -> None:
    ours = uncertainty_from_precision_m(latitude=10.0, precision_deg=0.5)
    assert ours == pytest.approx(77870, abs=50)


@pytest.mark.parametrize(("side_m", "published_m"), [(1, 1), (10, 7), (100, 71), (1000, 707)])
def test_a_grid_cell_has_half_its_diagonal(side_m: float, published_m: float) -> None:
    assert round(half_diagonal_m(side_m)) == published_m


# Half the full diagonal at 52 N, 6538 m for 0.1 and 654 m for 0.01 degree: from the formula of the table above.
@pytest.mark.parametrize(("side_deg", "expected_m"), [(0.1, 6538), (0.01, 654)])
def test_a_coarsened_place_is_covered_by_half_the_diagonal_of_its_cell(
    side_deg: float, expected_m: float
) -> None:
    cell = coarsen(latitude=52.0, longitude=-1.5, side_deg=side_deg)
    assert cell.uncertainty_m == pytest.approx(expected_m, rel=1e-3)
