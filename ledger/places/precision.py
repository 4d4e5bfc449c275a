"""How far the digits of a coordinate leave the place open.

Two rules, kept apart on purpose:

* a latitude-longitude pair read to one unit: the FULL diagonal of one unit by one unit, since nobody knows where in
  the unit, or on which side of it, the place lies. Chapman & Wieczorek 2020, Georeferencing Best Practices,
  "Uncertainty Related to Coordinate Precision", after Wieczorek 2001;
* a cell whose centre is given (grid reference, coarsened place): HALF the diagonal of the cell. Zermoglio et al.
  2020, Georeferencing Quick Reference Guide (100 m grid: 71 m).
"""

import math

from ledger.places.position import check_latitude

WGS84_A_M = 6378137.0
WGS84_F = 1 / 298.257223563

# An error under a metre is claimed by nobody who stands in a wood; it is also the least that the exchange standard
# takes as an uncertainty (TDWG BDQ Core: 1 to 20037509).
LEAST_M = 1.0


def degree_of_latitude_m(latitude: float) -> float:
    """Length in metres of one degree along the meridian at this latitude, on WGS84."""
    check_latitude(latitude)
    e2 = WGS84_F * (2 - WGS84_F)
    w = 1 - e2 * math.sin(math.radians(latitude)) ** 2
    return math.radians(1) * WGS84_A_M * (1 - e2) / math.pow(w, 1.5)


def degree_of_longitude_m(latitude: float) -> float:
    """Length in metres of one degree along the parallel at this latitude, on WGS84."""
    check_latitude(latitude)
    e2 = WGS84_F * (2 - WGS84_F)
    phi = math.radians(latitude)
    return math.radians(1) * WGS84_A_M * abs(math.cos(phi)) / math.sqrt(1 - e2 * math.sin(phi) ** 2)


def uncertainty_from_precision_m(
    *, latitude: float, precision_deg: float, longitude_precision_deg: float | None = None
) -> float:
    """Metres left open by a pair given to `precision_deg`: the full diagonal of one unit, not rounded.

    `longitude_precision_deg` where the longitude was given to another unit than the latitude.
    """
    east_deg = precision_deg if longitude_precision_deg is None else longitude_precision_deg
    return math.hypot(
        precision_deg * degree_of_latitude_m(latitude), east_deg * degree_of_longitude_m(latitude)
    )


def half_diagonal_m(side_m: float) -> float:
    """Metres from the centre of a square cell to its corner."""
    return side_m * math.sqrt(2) / 2


def stated_up(metres: float) -> float:
    """An uncertainty fit to be stored: rounded up to 0.1 m, 1 m at least."""
    # The 9 decimals keep 71.00000000001, a rounding of the machine, from becoming 71.1.
    return max(LEAST_M, math.ceil(round(metres * 10, 9)) / 10)
