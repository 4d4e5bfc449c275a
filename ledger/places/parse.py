"""A typed place to a Position: decimal degrees, degrees and minutes, UTM, MGRS, ISO 6709.

Every reading the text allows is worked out. One reading: it is taken. None: refused, with the reason. More than one:
refused with all of them shown (AmbiguousPlace), never guessed.
"""

import re

from ledger.places.errors import AmbiguousPlace, PlaceError
from ledger.places.grid import Utm, band, band_limits, from_utm
from ledger.places.hints import likely_meant
from ledger.places.iso6709 import is_iso6709, parse_iso6709
from ledger.places.mgrs import MGRS_SHAPE, read_mgrs
from ledger.places.pairs import Pair, listed_readings, pair_of
from ledger.places.position import Position
from ledger.places.precision import half_diagonal_m, stated_up, uncertainty_from_precision_m
from ledger.places.typed_text import GRID_DATUMS, tidy
from ledger.words import say

_ZONE = r"(?:utm\s*)?(?:zone\s*)?(?P<zone>\d{1,2})\s*(?P<letter>[A-Z]|north|south)(?![A-Z])"
_METRES = r"(?P<{0}>\d+(?:[.,]\d+)?)\s*(?:m\s*)?(?P<{0}_axis>[NE](?![A-Z]))?"
_UTM_SHAPES = tuple(
    re.compile(shape, re.IGNORECASE | re.ASCII)
    for shape in (
        rf"{_ZONE}[\s,;:]+{_METRES.format('first')}[\s,;]+{_METRES.format('second')}",
        rf"(?:utm\s*)?{_METRES.format('first')}[\s,;]+{_METRES.format('second')}[,;]?\s+{_ZONE}",
    )
)
_NO_ZONE = re.compile(
    r"(?:utm\s*)?\d{6,7}(?:[.,]\d+)?\s*m?[EN]?[\s,;]+\d{6,7}(?:[.,]\d+)?\s*m?[EN]?", re.IGNORECASE
)


def parse_position(text: str, *, datum: str = "WGS84", source: str = "typed") -> Position:
    """The position a member typed.

    The uncertainty is what its digits leave open (precision.py), or the error typed beside it (51.5, -0.12 ± 30 m)
    where that is larger. `datum` holds where the text names none; a datum is kept and never converted.
    AmbiguousPlace: more than one reading. PlaceError: none. No other exception leaves here.
    """
    if not isinstance(text, str):
        raise PlaceError(f"A place is typed as text; {type(text).__name__} was given.")
    if is_iso6709(text):
        return parse_iso6709(text, datum=datum, source=source)
    typed = tidy(text)
    named = typed.datum or datum
    grid = _grid_reading(typed.coordinates, named)
    if grid is not None:
        latitude, longitude, side_m = grid
        precision_deg = None
        least_m = stated_up(half_diagonal_m(side_m))
    else:
        pair = _pair_or_hint(typed.coordinates)
        latitude, longitude, precision_deg = pair.latitude, pair.longitude, pair.precision_deg
        least_m = _least_m(pair)
    return Position(
        latitude=latitude,
        longitude=longitude,
        datum=named,
        uncertainty_m=least_m,
        altitude_m=typed.altitude_m,
        source=source,
        typed=text,
        precision_deg=precision_deg,
        least_uncertainty_m=least_m,
    ).with_stated_error(typed.error_m)


def _pair_or_hint(text: str) -> Pair:
    """The pair, or a refusal that says what the text more likely is."""
    try:
        return pair_of(text)
    except PlaceError as refusal:
        hint = likely_meant(text)
        if hint is None:
            raise
        raise PlaceError(hint) from refusal


def _least_m(pair: Pair) -> float:
    return stated_up(
        uncertainty_from_precision_m(
            latitude=pair.latitude,
            precision_deg=pair.latitude_unit_deg,
            longitude_precision_deg=pair.longitude_unit_deg,
        )
    )


def _grid_reading(text: str, datum: str) -> tuple[float, float, float] | None:
    """Latitude, longitude and side of the cell in metres; None where the text is no grid reference at all."""
    upper = re.sub(r"^mgrs\s*:?\s*", "", text, flags=re.IGNORECASE)
    match = MGRS_SHAPE.fullmatch(upper)
    # "33N 45 ..." and the like have no two letters after the band; only a true reference matches.
    if match is not None:
        _check_grid_datum(datum)
        cell = read_mgrs(upper)
        return cell.latitude, cell.longitude, cell.side_m
    for shape in _UTM_SHAPES:
        match = shape.fullmatch(text)
        if match is not None and _looks_like_metres(match):
            _check_grid_datum(datum)
            return _utm_reading(text, match)
    if _NO_ZONE.fullmatch(text):
        raise PlaceError(
            say(
                "{text} looks like UTM without its zone: the same figures fit 60 places. Put the zone first, such as "
                "33N 452123 5412345.",
                text=repr(text),
            )
        )
    return None


def _looks_like_metres(match: re.Match[str]) -> bool:
    """Six and seven digits; fewer are degrees with a letter, such as 51N 2 15."""
    return any(len(re.split("[.,]", match[name])[0]) >= 6 for name in ("first", "second"))


def _check_grid_datum(datum: str) -> None:
    if datum not in GRID_DATUMS:
        raise PlaceError(
            say(
                "Grid coordinates on {datum} use another ellipsoid and would come out some 100 m wrong. Give latitude "
                "and longitude, or the grid on WGS84.",
                datum=datum,
            )
        )


def _utm_reading(text: str, match: re.Match[str]) -> tuple[float, float, float]:
    easting, northing = _in_order(text, match)
    zone, letter = int(match["zone"]), match["letter"][0].upper()
    if len(match["letter"]) > 1:
        hemispheres: tuple[str, ...] = (letter,)
    elif letter == "N":
        hemispheres = ("N",)  # band N lies just north of the equator: both readings are one place
    elif letter == "S":
        hemispheres = ("S", "band S")
    else:
        hemispheres = (f"band {letter}",)
    readings: dict[str, tuple[float, float]] = {}
    refusals: list[str] = []
    for hemisphere in hemispheres:
        try:
            point = _utm_point(zone, hemisphere, _metres(easting), _metres(northing))
        except PlaceError as error:
            refusals.append(error.args[0])
        else:
            readings[_reading_words(hemisphere, point)] = point
    if len(readings) > 1:
        raise AmbiguousPlace(
            say(
                "{text} has two readings, for S may be the southern half or the band S: {readings}. Write the zone as "
                "'33 south', or give the place in degrees.",
                text=repr(text),
                readings=listed_readings(readings),
            ),
            tuple(readings),
        )
    if not readings:
        raise PlaceError(say("{text}: {wrong}", text=repr(text), wrong=refusals[0]))
    decimals = min(len(re.split("[.,]", figure + ".")[1]) for figure in (easting, northing))
    latitude, longitude = next(iter(readings.values()))
    return latitude, longitude, 10.0**-decimals


def _reading_words(hemisphere: str, point: tuple[float, float]) -> str:
    place = _words(point)
    if hemisphere == "N":
        return say("northern half: {place}", place=place)
    if hemisphere == "S":
        return say("southern half: {place}", place=place)
    return say("band {letter}: {place}", letter=hemisphere[-1], place=place)


def _in_order(text: str, match: re.Match[str]) -> tuple[str, str]:
    first, second = match["first"], match["second"]
    letters = tuple((match[f"{name}_axis"] or "").upper() for name in ("first", "second"))
    if letters in (("N", "E"), ("N", ""), ("", "E")):
        return second, first
    if letters[0] and letters[0] == letters[1]:
        raise PlaceError(
            say(
                "{text} has two figures marked {letter}: one easting and one northing are wanted.",
                text=repr(text),
                letter=letters[0],
            )
        )
    return first, second


def _utm_point(zone: int, hemisphere: str, easting_m: float, northing_m: float) -> tuple[float, float]:
    letter = hemisphere[-1]
    if hemisphere.startswith("band "):
        half = "N" if letter >= "N" else "S"
    else:
        half = letter
    if hemisphere.startswith("band ") and letter not in "CDEFGHJKLMNPQRSTUVWX":
        raise PlaceError(
            say("there is no band {letter}; bands run from C to X without I and O.", letter=letter)
        )
    latitude, longitude = from_utm(
        Utm(zone=zone, hemisphere=half, easting_m=easting_m, northing_m=northing_m)
    )
    actual = band(latitude)
    if hemisphere.startswith("band "):
        south, north = band_limits(letter)
        if not south - 1e-6 <= latitude <= north + 1e-6:
            raise PlaceError(
                say(
                    "northing {northing} m lies at {latitude}°, in band {actual}, but band {letter} was typed ({south}° "
                    "to {north}°). Check the letter and the digits.",
                    northing=f"{northing_m:.0f}",
                    latitude=f"{latitude:.4f}",
                    actual=actual,
                    letter=letter,
                    south=f"{south:g}",
                    north=f"{north:g}",
                )
            )
    return latitude, longitude


def _metres(figure: str) -> float:
    return float(figure.replace(",", "."))


def _words(point: tuple[float, float]) -> str:
    latitude, longitude = point
    return (
        f"{abs(latitude):.4f}° {'N' if latitude >= 0 else 'S'} "
        f"{abs(longitude):.4f}° {'E' if longitude >= 0 else 'W'}"
    )
