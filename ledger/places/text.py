"""Positions for people: as many digits as the uncertainty justifies, and the datum and the error beside them.

Degree, minute and second signs stand without spaces and the letter comes last (ISO 6709:2008 Annex D, secondary).
"""

import math
from decimal import ROUND_HALF_EVEN, Decimal

from ledger.places.position import Position
from ledger.places.precision import uncertainty_from_precision_m
from ledger.words import say

MOST_DECIMALS = 7
# Five decimals are about a metre. More would claim what nobody stated.
DECIMALS_WHERE_UNKNOWN = 5
_MOST_SECOND_DECIMALS = 3


def decimals_justified(position: Position) -> int:
    """Decimals of a degree: the fewest whose last unit adds no more than the uncertainty does already.

    By Chapman & Wieczorek's rule (precision.py): 30 m wants 4 decimals (16 m at the equator), 10 m wants 5.
    """
    if position.uncertainty_m is None:
        return DECIMALS_WHERE_UNKNOWN
    return _fewest(position, 1.0, MOST_DECIMALS, position.uncertainty_m)


def decimal_text(position: Position) -> str:
    """51.5074°N 0.1278°W"""
    decimals = decimals_justified(position)
    return f"{_decimal(position.latitude, decimals, 'NS')} {_decimal(position.longitude, decimals, 'EW')}"


def signed_text(position: Position) -> str:
    """51.5074, -0.1278: for files and for typing again."""
    decimals = decimals_justified(position)
    return f"{_rounded(position.latitude, decimals):f}, {_rounded(position.longitude, decimals):f}"


def dms_text(position: Position) -> str:
    """51°30'27"N 0°07'40"W, with decimals of a second only where justified; never 60 seconds, never 60 minutes.

    A coarse place is given in whole minutes or whole degrees: 51°30'N 0°08'W.
    """
    return f"{_dms(position, position.latitude, 'NS')} {_dms(position, position.longitude, 'EW')}"


def with_datum_and_error(
    position: Position, coordinates: str | None = None, *, given_m: float | None = None
) -> str:
    """51.5074°N 0.1278°W (WGS84, ± 30 m); "error not known" where nobody stated one.

    `given_m` is an error in metres that somebody stated though it cannot be one (0): it is told, not passed over.
    """
    shown = decimal_text(position) if coordinates is None else coordinates
    if position.uncertainty_m is not None:
        error = f"± {metres_text(position.uncertainty_m)}"
    else:
        error = (
            say("error not known")
            if given_m is None
            else say("error given as {metres} m", metres=f"{given_m:g}")
        )
    return say(
        "{place} ({datum}, {error})",
        place=shown,
        datum=position.datum or say("datum not known"),
        error=error,
    )


def metres_text(metres: float) -> str:
    """A length rounded up, so that it still covers: 7.1 to "8 m", 5199.2 to "5200 m", 15690 to "15.7 km".

    Four digits stand without a mark between them: a comma would be read as a decimal one where that is the custom.
    """
    whole = math.ceil(round(metres, 6))
    if whole < 10_000:
        return f"{whole} m"
    return f"{math.ceil(whole / 100) / 10:.1f} km"


def _fewest(position: Position, unit_deg: float, most: int, limit_m: float) -> int:
    for decimals in range(most):
        if (
            uncertainty_from_precision_m(latitude=position.latitude, precision_deg=unit_deg / 10**decimals)
            <= limit_m
        ):
            return decimals
    return most


def _rounded(degrees: float, decimals: int) -> Decimal:
    rounded = Decimal(repr(float(degrees))).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)
    return abs(rounded) if rounded == 0 else rounded


def _decimal(degrees: float, decimals: int, sides: str) -> str:
    rounded = _rounded(degrees, decimals)
    return f"{abs(rounded):f}°{sides[1] if rounded < 0 else sides[0]}"


def _dms(position: Position, degrees: float, sides: str) -> str:
    parts, decimals = _shape(position)
    # Counted in units of the last digit shown, so that 59.999" carries into the minute.
    per_degree = 60 ** (parts - 1) * 10**decimals
    units = int((abs(Decimal(repr(float(degrees)))) * per_degree).to_integral_value(ROUND_HALF_EVEN))
    side = sides[1] if degrees < 0 and units else sides[0]
    if parts == 1:
        return f"{units}°{side}"
    if parts == 2:
        return f"{units // 60}°{units % 60:02d}'{side}"
    seconds_units = 60 * 10**decimals
    minutes, units = divmod(units, seconds_units)
    whole, tail = divmod(units, 10**decimals)
    point = f".{tail:0{decimals}d}" if decimals else ""
    return f"{minutes // 60}°{minutes % 60:02d}'{whole:02d}{point}\"{side}"


def _shape(position: Position) -> tuple[int, int]:
    """How many parts (1 degrees, 2 minutes, 3 seconds) and how many decimals of a second."""
    limit_m = position.uncertainty_m
    if limit_m is None:
        return 3, 1
    for parts in (1, 2):
        unit_deg = 1 / 60 ** (parts - 1)
        if uncertainty_from_precision_m(latitude=position.latitude, precision_deg=unit_deg) <= limit_m:
            return parts, 0
    return 3, _fewest(position, 1 / 3600, _MOST_SECOND_DECIMALS, limit_m)
