"""Distances against published geodesics and against a second library.

Sources: geodesic_inverse_test_pairs.csv (data/README.md); geographiclib (Karney) and pyproj (PROJ) as second libraries.
"""

import csv
import random
from pathlib import Path

import pyproj
import pytest
from geographiclib.geodesic import Geodesic

from ledger.places.distance import distance_m, is_within
from ledger.places.position import Position

DATA = Path(__file__).parent / "data" / "geodesic_inverse_test_pairs.csv"
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))
OURS_M = 0.001


def _tolerance_m(row: dict[str, str]) -> float:
    """1 mm, or what the printed digits of the source allow (N03 is printed in whole metres)."""
    return max(OURS_M, float(row["tolerance_m"].split()[0]))


def test_no_row_was_lost() -> None:
    assert len(ROWS) == 30


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_published_geodesic_is_met_within_a_millimetre(row: dict[str, str]) -> None:
    published = row["published_s12_m"] or row["checked_here_s12_m"]
    ours = distance_m(
        latitude=float(row["lat1_deg"]),
        longitude=float(row["lon1_deg"]),
        to_latitude=float(row["lat2_deg"]),
        to_longitude=float(row["lon2_deg"]),
        ellipsoid=row["ellipsoid"],
    )
    assert ours == pytest.approx(float(published), rel=0, abs=_tolerance_m(row))


def _points() -> list[tuple[float, float]]:
    """Random places from a fixed seed, with the poles, the equator and both sides of 180 degrees among them."""
    chance = random.Random(6709)
    awkward = [(90.0, 0.0), (-90.0, 45.0), (0.0, 180.0), (0.0, -180.0), (0.0, 0.0), (89.9999999, -180.0)]
    return awkward + [(chance.uniform(-90, 90), chance.uniform(-180, 180)) for _ in range(120)]


def test_a_second_library_agrees_within_a_millimetre() -> None:
    points = _points()
    second = pyproj.Geod(ellps="WGS84")
    for (lat_1, lon_1), (lat_2, lon_2) in zip(points, reversed(points), strict=True):
        ours = distance_m(latitude=lat_1, longitude=lon_1, to_latitude=lat_2, to_longitude=lon_2)
        karney = Geodesic.WGS84.Inverse(lat_1, lon_1, lat_2, lon_2)["s12"]
        _, _, proj = second.inv(lon_1, lat_1, lon_2, lat_2)
        assert ours == pytest.approx(karney, rel=0, abs=OURS_M)
        assert ours == pytest.approx(proj, rel=0, abs=OURS_M)


def test_the_quick_answer_on_nearness_is_the_second_library_s_answer() -> None:
    chance = random.Random(1912)
    for lat, lon in _points():
        for limit_m in (5.0, 800.0, 40_000.0, 5_000_000.0):
            azimuth, metres = chance.uniform(0, 360), limit_m * chance.uniform(0.96, 1.04)
            end = Geodesic.WGS84.Direct(lat, lon, azimuth, metres)
            one = Position(latitude=lat, longitude=lon)
            other = Position(latitude=end["lat2"], longitude=end["lon2"])
            assert is_within(one, other, limit_m) == (metres <= limit_m)
