import pytest

from ledger.record.land import LandMap, LandMapError
from tests.ledger.record.cases import land

# A square of land from 10 to 20 degrees both ways, with a lake from 14 to 16 degrees.
SQUARE = {
    "type": "Topology",
    "arcs": [
        [[10, 10], [20, 10], [20, 20], [10, 20], [10, 10]],
        [[14, 14], [14, 16], [16, 16], [16, 14], [14, 14]],
    ],
    "objects": {"land": {"type": "Polygon", "arcs": [[0], [1]]}},
}


def test_land_is_inside_the_outline_and_outside_the_lake():
    square = LandMap.from_topojson(SQUARE)
    assert square.is_land(latitude=12, longitude=12)
    assert not square.is_land(latitude=15, longitude=15)
    assert not square.is_land(latitude=12, longitude=21)


def test_the_margin_is_metres_and_shrinks_with_latitude():
    square = LandMap.from_topojson(SQUARE)
    # 0.1 degree of longitude at 15 N is 10.75 km (111.32 km x cos 15 / 10, from memory).
    assert square.is_near_land(latitude=12, longitude=20.1, margin_m=11_000)
    assert not square.is_near_land(latitude=12, longitude=20.1, margin_m=10_500)


def test_another_file_is_refused():
    with pytest.raises(LandMapError):
        LandMap.from_topojson({"type": "FeatureCollection", "features": []})


@pytest.mark.parametrize(
    ("latitude", "longitude", "expected"),
    [
        (51.5, -0.6, True),  # west of London
        (40.0, -100.0, True),  # Nebraska
        (-25.0, 133.0, True),  # middle of Australia
        (-85.0, 60.0, True),  # Antarctica
        (0.0, 0.0, False),  # Gulf of Guinea
        (45.0, -30.0, False),  # North Atlantic
        (10.0, 179.99, False),  # Pacific, at the seam of the map
        (10.0, -179.99, False),
        (66.0, -175.0, True),  # Chukotka, beyond the seam
    ],
)
def test_known_places_are_land_or_sea(latitude, longitude, expected):
    """Geography from memory."""
    assert land().is_land(latitude=latitude, longitude=longitude) is expected


@pytest.mark.parametrize("latitude", [-90.0, 90.0])
def test_the_poles_are_places_too(latitude):
    assert land().is_near_land(latitude=latitude, longitude=0.0, margin_m=1000) in (True, False)
