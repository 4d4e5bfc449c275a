"""Is there a place, can it be one, is it ours, and how well is it known?

Range, zero and uncertainty follow the TDWG BDQ Core tests VALIDATION_DECIMALLATITUDE_INRANGE,
VALIDATION_DECIMALLONGITUDE_INRANGE, VALIDATION_COORDINATES_NOTZERO, VALIDATION_COORDINATEUNCERTAINTY_INRANGE and
VALIDATION_MINELEVATION_INRANGE; their rows are run through these checks in tests/outside/test_record_checks.py.
"""

import math
from collections.abc import Iterator

from ledger.places.distance import distance_m
from ledger.record.facts import Limits, RecordFacts
from ledger.record.flags import Flag, FlagTable
from ledger.words import say


def place_flags(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    """Flags of the position itself, then of its error, datum and altitude."""
    latitude, longitude = facts.latitude, facts.longitude
    if latitude is None or longitude is None:
        yield table.flag("place_missing", {"given": (latitude is not None) + (longitude is not None)})
    elif not is_on_earth(latitude=latitude, longitude=longitude):
        told = {"latitude_deg": _finite(latitude), "longitude_deg": _finite(longitude)}
        yield table.flag("place_out_of_range", told)
    else:
        yield from _where(latitude, longitude, facts, limits, table)
        yield from _how_well(facts, limits, table)
    if facts.blur_step_deg is not None:
        told = {"taxon": facts.taxon or say("This find"), "blur_step_deg": facts.blur_step_deg}
        yield table.flag("sensitive_taxon", told)
    altitude = facts.altitude_m
    if altitude is not None and not limits.least_altitude_m <= altitude <= limits.most_altitude_m:
        told = {
            "altitude_m": _finite(altitude),
            "least_m": limits.least_altitude_m,
            "most_m": limits.most_altitude_m,
        }
        yield table.flag("altitude_out_of_range", told)


def is_on_earth(*, latitude: float, longitude: float) -> bool:
    """Both in range, ends included; a NaN is not."""
    return -90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 180.0


def _where(
    latitude: float, longitude: float, facts: RecordFacts, limits: Limits, table: FlagTable
) -> Iterator[Flag]:
    if latitude == 0.0 and longitude == 0.0:
        yield table.flag("place_zero", {"latitude_deg": 0.0})
        return  # that it is at sea and far from the club adds nothing
    # The errors of the map and of the position together: an error of 50 km is no reason to call a place the sea.
    margin_m = limits.coast_margin_m + error_or_assumed(facts.uncertainty_m, limits)
    if limits.land is not None and not limits.land.is_near_land(
        latitude=latitude, longitude=longitude, margin_m=margin_m
    ):
        yield table.flag("place_at_sea", {"margin_m": _whole(margin_m)})
    away_m = outside_area_m(
        latitude=latitude, longitude=longitude, uncertainty_m=facts.uncertainty_m, limits=limits
    )
    if limits.area is not None and away_m is not None:
        told = {
            "distance_m": away_m,
            "radius_m": limits.area.radius_m,
            "uncertainty_m": error_or_assumed(facts.uncertainty_m, limits),
        }
        yield table.flag("place_outside_area", told)


def outside_area_m(
    *, latitude: float, longitude: float, uncertainty_m: float | None, limits: Limits
) -> float | None:
    """Metres from the centre of the club's area, to two figures; None where it is inside, or its error may explain it.

    Two figures are enough to judge by, and say less of where the find lies.
    """
    if (area := limits.area) is None:
        return None
    away_m = distance_m(
        latitude=latitude, longitude=longitude, to_latitude=area.latitude, to_longitude=area.longitude
    )
    outside = away_m - error_or_assumed(uncertainty_m, limits) > area.radius_m
    return _two_figures(away_m) if outside else None


def _how_well(facts: RecordFacts, limits: Limits, table: FlagTable) -> Iterator[Flag]:
    error_m = facts.uncertainty_m
    is_wide = facts.position_source in ("typed", "table")
    huge_m = limits.huge_uncertainty_typed_m if is_wide else limits.huge_uncertainty_m
    if error_m is None:
        yield table.flag("uncertainty_missing", {"assumed_m": limits.assumed_error_m})
    elif not is_possible_error(error_m, limits):
        told = {
            "uncertainty_m": _finite(error_m),
            "least_m": limits.least_uncertainty_m,
            "most_m": limits.most_uncertainty_m,
        }
        yield table.flag("uncertainty_impossible", told)
    elif error_m > huge_m:
        yield table.flag("uncertainty_huge", {"uncertainty_m": error_m, "limit_m": huge_m})
    if not facts.datum.strip():
        yield table.flag("datum_missing", {"assumed": "WGS 84"})


def is_possible_error(error_m: float, limits: Limits) -> bool:
    """Whether this can be the error of a position on Earth; zero is not valid, nor is NaN."""
    return limits.least_uncertainty_m <= error_m <= limits.most_uncertainty_m


def error_or_assumed(error_m: float | None, limits: Limits) -> float:
    """The error where it can be one, else the assumed one; an impossible error has a flag of its own."""
    if error_m is None or not is_possible_error(error_m, limits):
        return limits.assumed_error_m
    return error_m


def _finite(value: float) -> float | str:
    """NaN and infinity as words: they cannot be kept as JSON numbers."""
    return value if math.isfinite(value) else str(value)


def _whole(value_m: float) -> int:
    return round(value_m)


def _two_figures(value_m: float) -> float:
    return float(f"{value_m:.2g}")
