"""Distance along the ellipsoid. The only file that uses geopy, and it uses nothing of it but the distance:
its own reading of coordinates turns None into 0 and loses signs, so numbers are checked before they reach it.
"""

import math

from geopy.distance import geodesic

from ledger.places.errors import PlaceError
from ledger.places.position import Position, check_latitude
from ledger.words import say

# Our names for the ellipsoids, to geopy's.
_ELLIPSOIDS = {"WGS84": "WGS-84", "GRS80": "GRS-80"}

# No degree of latitude is shorter than the one at the equator: 110574.27 m on WGS84 (Chapman & Wieczorek 2020).
_SHORTEST_DEGREE_M = 110574.0
_MEAN_RADIUS_M = 6371008.8  # IUGG mean radius (2a + b) / 3 of WGS84
# A sphere differs from the ellipsoid by some 0.56 % at most (from memory); 1 % leaves room.
_SPHERE_GUARD = 0.01


def distance_m(
    *, latitude: float, longitude: float, to_latitude: float, to_longitude: float, ellipsoid: str = "WGS84"
) -> float:
    """Metres along the geodesic (Karney 2013, by geographiclib under geopy), good to well under 1 mm.

    Longitudes may lie beyond 180 and are taken round the globe. PlaceError for what is no coordinate.
    """
    for value in (latitude, to_latitude):
        check_latitude(value)
    for value in (longitude, to_longitude):
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise PlaceError(
                say(
                    "The longitude {longitude} is not a number. Give degrees, such as -0.1278.",
                    longitude=repr(value),
                )
            )
    if ellipsoid not in _ELLIPSOIDS:
        raise PlaceError(f"The ellipsoid {ellipsoid!r} is not known here: use one of {sorted(_ELLIPSOIDS)}.")
    start = (latitude, math.remainder(longitude, 360))
    end = (to_latitude, math.remainder(to_longitude, 360))
    return float(geodesic(start, end, ellipsoid=_ELLIPSOIDS[ellipsoid]).meters)


def between_m(one: Position, other: Position) -> float:
    """Metres between two positions. Datums are not converted: between two datums the answer may be 100s of m off."""
    return distance_m(
        latitude=one.latitude,
        longitude=one.longitude,
        to_latitude=other.latitude,
        to_longitude=other.longitude,
    )


def is_within(one: Position, other: Position, limit_m: float) -> bool:
    """Whether two positions lie no more than `limit_m` apart; the same answer as the geodesic, mostly without it."""
    if abs(one.latitude - other.latitude) * _SHORTEST_DEGREE_M > limit_m:
        return False
    rough_m = _on_a_sphere_m(one, other)
    # Under a metre the haversine's own rounding counts, so the exact way decides there.
    if limit_m > 1:
        if rough_m > limit_m * (1 + 2 * _SPHERE_GUARD):
            return False
        if rough_m < limit_m * (1 - 2 * _SPHERE_GUARD):
            return True
    return between_m(one, other) <= limit_m


def _on_a_sphere_m(one: Position, other: Position) -> float:
    phi_1, phi_2 = math.radians(one.latitude), math.radians(other.latitude)
    half_phi = (phi_2 - phi_1) / 2
    half_lambda = math.radians(other.longitude - one.longitude) / 2
    h = math.sin(half_phi) ** 2 + math.cos(phi_1) * math.cos(phi_2) * math.sin(half_lambda) ** 2
    return 2 * _MEAN_RADIUS_M * math.asin(math.sqrt(min(1.0, h)))
