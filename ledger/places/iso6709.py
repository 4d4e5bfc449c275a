"""Point locations as strings of ISO 6709:2008, Annex H style: +40.20361-075.00417+350.517CRSWGS_84/

Seen in secondary copies only. Latitude has 2 digits before the point and longitude 3; 4 and 5 with minutes, 6 and 7
with seconds; the sign is always there; a height comes with a CRS part; the string ends with a slash.
"""

import re
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from ledger.places.errors import PlaceError
from ledger.places.position import Position
from ledger.places.precision import stated_up, uncertainty_from_precision_m
from ledger.places.text import decimals_justified
from ledger.words import say

_SHAPE = re.compile(
    r"(?P<latitude>[+-](?:\d{6}|\d{4}|\d{2})(?:[.,]\d+)?)(?P<longitude>[+-](?:\d{7}|\d{5}|\d{3})(?:[.,]\d+)?)"
    r"(?P<height>[+-]\d+(?:[.,]\d+)?)?(?P<crs>CRS[A-Za-z0-9_:.-]+)?/?",
    re.ASCII,
)
_LONGEST = 200


def is_iso6709(text: str) -> bool:
    """Whether a text has the shape of such a string; the final slash may be missing in what people copy."""
    return len(text) <= _LONGEST and _SHAPE.fullmatch(text.strip()) is not None


def parse_iso6709(text: str, *, datum: str = "WGS84", source: str = "typed") -> Position:
    """The position of a string. `datum` holds where no CRS is given; another CRS is kept by its name.

    PlaceError for a wrong shape, minutes or seconds of 60, or numbers beyond the globe.
    """
    match = _SHAPE.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    if match is None:
        raise PlaceError(
            say(
                "{text} is not an ISO 6709 string. One looks like +48.8577+002.2950/: signs always, two digits of "
                "latitude, three of longitude.",
                text=repr(text.strip()[:_LONGEST]),
            )
        )
    latitude, latitude_unit = _degrees(match["latitude"], 2)
    longitude, longitude_unit = _degrees(match["longitude"], 3)
    crs = (match["crs"] or "").removeprefix("CRS")
    least_m = stated_up(
        uncertainty_from_precision_m(
            latitude=min(90.0, abs(latitude)),  # beyond the pole Position refuses it, with a better sentence
            precision_deg=latitude_unit,
            longitude_precision_deg=longitude_unit,
        )
    )
    return Position(
        latitude=latitude,
        longitude=longitude,
        datum=_datum(crs) or datum,
        altitude_m=float(match["height"].replace(",", ".")) if match["height"] else None,
        source=source,
        typed=text,
        precision_deg=max(latitude_unit, longitude_unit),
        uncertainty_m=least_m,
        least_uncertainty_m=least_m,
    )


def write_iso6709(
    position: Position, *, latitude_decimals: int | None = None, longitude_decimals: int | None = None
) -> str:
    """The string in decimal degrees, with the decimals its uncertainty justifies unless told otherwise.

    Height is written with the CRS, never without. The 180th meridian is -180, the equator and Greenwich are +.
    """
    justified = decimals_justified(position)
    north = _signed(position.latitude, 2, justified if latitude_decimals is None else latitude_decimals)
    east = _signed(position.longitude, 3, justified if longitude_decimals is None else longitude_decimals)
    if east.startswith("+180"):
        east = "-" + east[1:]
    if position.altitude_m is None and position.datum == "WGS84":
        return f"{north}{east}/"
    height = "" if position.altitude_m is None else _height(position.altitude_m)
    crs = "WGS_84" if position.datum == "WGS84" else re.sub(r"[^A-Za-z0-9_:.-]", "_", position.datum)
    return f"{north}{east}{height}CRS{crs or 'unknown'}/"


def _degrees(figures: str, width: int) -> tuple[float, float]:
    """Signed degrees and the unit of the last digit, both in degrees."""
    whole, _, decimals = figures[1:].replace(",", ".").partition(".")
    parts = [whole[:width], *(whole[i : i + 2] for i in range(width, len(whole), 2))]
    if any(int(part) >= 60 for part in parts[1:]):
        raise PlaceError(
            say(
                "{figures} has minutes or seconds of 60 or more. Check the digits.",
                figures=repr(figures),
            )
        )
    last = len(parts) - 1
    size = sum((Fraction(part) / 60**i for i, part in enumerate(parts)), Fraction(0))
    size += Fraction(int(decimals or 0), 10 ** len(decimals) * 60**last)
    sign = -1 if figures[0] == "-" else 1
    return float(sign * size), float(Fraction(1, 10 ** len(decimals) * 60**last))


def _datum(crs: str) -> str:
    return "WGS84" if crs.upper().replace("_", "") == "WGS84" else crs


def _signed(degrees: float, width: int, decimals: int) -> str:
    rounded = Decimal(repr(float(degrees))).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)
    figures = f"{abs(rounded):0{width + (decimals + 1 if decimals else 0)}.{decimals}f}"
    return f"{'-' if rounded < 0 else '+'}{figures}"


def _height(metres: float) -> str:
    # Millimetres at most: what no altimeter tells.
    figures = f"{Decimal(repr(float(metres))).quantize(Decimal('0.001'), ROUND_HALF_EVEN):f}"
    figures = figures.rstrip("0").rstrip(".") if "." in figures else figures
    return figures if figures.startswith("-") and figures != "-0" else f"+{figures.lstrip('-')}"
