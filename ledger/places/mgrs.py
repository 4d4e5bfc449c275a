"""References of the military grid (MGRS): letters for the square of 100 km, digits within it.

DMA TM 8358.1, chapter 3. A reference names a cell, not a point: digits are cut off, never rounded, and reading one
gives the cell with its centre. The letters I and O are not used.
"""

import math
import re
from dataclasses import dataclass

from ledger.places.errors import PlaceError
from ledger.places.grid import BANDS, Utm, band, band_limits, from_utm, to_utm
from ledger.places.position import check_longitude
from ledger.places.precision import half_diagonal_m
from ledger.words import say

_COLUMNS = ("ABCDEFGH", "JKLMNPQR", "STUVWXYZ")  # zones 1, 4, 7 ...; 2, 5, 8 ...; 3, 6, 9 ...
_ROWS = "ABCDEFGHJKLMNPQRSTUV"  # repeats every 2000 km; even zones begin at F
_SQUARE_M = 100_000
MOST_DIGITS = 8  # per axis: the cell is 1 mm wide

MGRS_SHAPE = re.compile(
    r"(\d{1,2})\s*([C-HJ-NP-X])\s*([A-HJ-NP-Z])\s*([A-HJ-NP-V])\s*((?:\d[\d\s]*)?)", re.IGNORECASE | re.ASCII
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MgrsCell:
    """The cell a reference names. `south_west` is its corner, `side_m` its side, latitude and longitude its centre."""

    reference: str
    south_west: Utm
    side_m: float
    latitude: float
    longitude: float

    @property
    def uncertainty_m(self) -> float:
        """Half the diagonal, not rounded."""
        return half_diagonal_m(self.side_m)


def to_mgrs(*, latitude: float, longitude: float, digits: int = 5) -> str:
    """The reference with `digits` per axis: 5 names a cell of 1 m, 3 one of 100 m, 0 the square of 100 km."""
    check_longitude(longitude)
    letter = band(latitude)
    return utm_to_mgrs(to_utm(latitude=latitude, longitude=longitude), band_letter=letter, digits=digits)


def utm_to_mgrs(utm: Utm, *, band_letter: str | None = None, digits: int = 5) -> str:
    """The same from a UTM coordinate; the band is taken from its latitude where not given."""
    if not 0 <= digits <= MOST_DIGITS:
        raise PlaceError(f"A grid reference has 0 to {MOST_DIGITS} digits per axis; {digits} were asked for.")
    letter = band_letter or band(from_utm(utm)[0])
    # The micrometre removes the rounding of the machine (444140.6 * 100 = 44414060.00000001) before the cut.
    micro_e, micro_n = round(utm.easting_m * 1e6), round(utm.northing_m * 1e6)
    if utm.hemisphere == "S":
        # A hair south of the equator rounds up to 10000 km, which would be the first row of the north.
        micro_n = min(micro_n, 10**13 - 1)
    unit = 10 ** (11 - digits)
    square = _SQUARE_M * 10**6
    column = _COLUMNS[(utm.zone - 1) % 3][micro_e // square - 1]
    row = _ROWS[(micro_n // square + (5 if utm.zone % 2 == 0 else 0)) % 20]
    east, north = micro_e % square // unit, micro_n % square // unit
    figures = f"{east:0{digits}d}{north:0{digits}d}" if digits else ""
    return f"{utm.zone}{letter}{column}{row}{figures}"


def read_mgrs(text: str) -> MgrsCell:
    """The cell of a reference, with or without spaces, in either case. PlaceError with the reason otherwise."""
    match = MGRS_SHAPE.fullmatch(text.strip())
    if match is None:
        raise PlaceError(
            say(
                "{text} is not a grid reference. One looks like 33VVE7220287839: zone, band, two letters, an even number "
                "of digits. I and O are not used.",
                text=repr(text.strip()),
            )
        )
    zone, letter, column, row = int(match[1]), match[2].upper(), match[3].upper(), match[4].upper()
    east, north = _halves(match[5])
    if not 1 <= zone <= 60:
        raise PlaceError(
            say(
                "{text}: there is no zone {zone}; zones run from 1 to 60.",
                text=repr(text.strip()),
                zone=zone,
            )
        )
    columns = _COLUMNS[(zone - 1) % 3]
    if column not in columns:
        raise PlaceError(
            say(
                "{text}: zone {zone} has no column {column}; its columns run from {first} to {last}.",
                text=repr(text.strip()),
                zone=zone,
                column=column,
                first=columns[0],
                last=columns[-1],
            )
        )
    if letter == "X" and zone in (32, 34, 36):
        raise PlaceError(
            say(
                "{text}: there is no {zone}X; Svalbard lies in 31X, 33X, 35X and 37X.",
                text=repr(text.strip()),
                zone=zone,
            )
        )
    side_m = _SQUARE_M / 10 ** len(east)
    easting = (columns.index(column) + 1) * _SQUARE_M + int(east or 0) * side_m
    row_number = (_ROWS.index(row) - (5 if zone % 2 == 0 else 0)) % 20
    northing = _square_south_m(zone, letter, easting, row_number) + int(north or 0) * side_m
    hemisphere = "N" if letter >= "N" else "S"
    corner = Utm(zone=zone, hemisphere=hemisphere, easting_m=easting, northing_m=northing)
    latitude, longitude = from_utm(
        Utm(
            zone=zone,
            hemisphere=hemisphere,
            easting_m=easting + side_m / 2,
            northing_m=northing + side_m / 2,
        )
    )
    return MgrsCell(
        reference=f"{zone}{letter}{column}{row}{east}{north}",
        south_west=corner,
        side_m=side_m,
        latitude=latitude,
        longitude=longitude,
    )


def _halves(figures: str) -> tuple[str, str]:
    """Easting and northing digits; typed apart they must be of one length."""
    groups = figures.split()
    if len(groups) == 2 and len(groups[0]) != len(groups[1]):
        raise PlaceError(
            say(
                "The easting {easting} has {n} digits and the northing {northing} has {other}; a grid reference wants as "
                "many of each.",
                easting=groups[0],
                n=len(groups[0]),
                northing=groups[1],
                other=len(groups[1]),
            )
        )
    joined = "".join(groups)
    if len(joined) % 2 or len(joined) > 2 * MOST_DIGITS or len(groups) > 2:
        raise PlaceError(
            say(
                "A grid reference wants an even number of digits, {most} at most, in one group or two of the same length; "
                "{given} was given.",
                most=2 * MOST_DIGITS,
                given=repr(figures.strip()),
            )
        )
    half = len(joined) // 2
    return joined[:half], joined[half:]


def _square_south_m(zone: int, letter: str, easting_m: float, row_number: int) -> float:
    """Northing of the square's south edge. Rows repeat every 2000 km and a band is 900 km high, so at most one fits."""
    hemisphere = "N" if letter >= "N" else "S"
    south, north = band_limits(letter)
    middle_m = math.floor(easting_m / _SQUARE_M) * _SQUARE_M + _SQUARE_M / 2
    for turn in range(5):
        edge_m = row_number * _SQUARE_M + turn * 2_000_000
        low, high = (0, 9_300_000) if hemisphere == "N" else (1_000_000, 9_900_000)
        if not low <= edge_m <= high:
            continue
        bottom = from_utm(Utm(zone=zone, hemisphere=hemisphere, easting_m=middle_m, northing_m=edge_m))[0]
        top = from_utm(
            Utm(zone=zone, hemisphere=hemisphere, easting_m=middle_m, northing_m=edge_m + _SQUARE_M)
        )[0]
        # The edge of a square is not a parallel: a tenth of a degree covers its slant within a zone.
        if bottom < north + 0.1 and top > south - 0.1:
            return float(edge_m)
    raise PlaceError(
        say(
            "Band {letter} of zone {zone} has no square in row {row}. Bands are {first} to {last} from south to north; "
            "check the letters.",
            letter=letter,
            zone=zone,
            row=_ROWS[(row_number + (5 if zone % 2 == 0 else 0)) % 20],
            first=BANDS[0],
            last=BANDS[-1],
        )
    )
