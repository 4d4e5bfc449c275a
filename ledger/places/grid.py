"""Universal Transverse Mercator: zones, and positions to eastings and northings and back.

Zones of 6 degrees from 180 W, with the wider 32V off Norway and the four wide zones of Svalbard (DMA TM 8358.1,
chapter 3; band letters from memory). 80 S to 84 N; nearer the poles the polar grid takes over, which is refused here.
WGS84 and GRS80 differ by 0.1 mm in the smaller axis, so one set of numbers serves both.
"""

from dataclasses import dataclass
from functools import lru_cache

from ledger.places.errors import PlaceError
from ledger.places.position import check_latitude, check_longitude
from ledger.places.precision import WGS84_A_M, WGS84_F
from ledger.places.transverse_mercator import TransverseMercator
from ledger.words import say

BANDS = "CDEFGHJKLMNPQRSTUVWX"
SOUTH_END, NORTH_END = -80.0, 84.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Utm:
    """A UTM coordinate. `hemisphere` is "N" or "S" (never a band letter); metres."""

    zone: int
    hemisphere: str
    easting_m: float
    northing_m: float

    def __post_init__(self) -> None:
        if not 1 <= self.zone <= 60:
            raise PlaceError(say("UTM has no zone {zone}: zones run from 1 to 60.", zone=self.zone))
        if self.hemisphere not in ("N", "S"):
            raise PlaceError(f"The hemisphere {self.hemisphere!r} must be N or S.")
        if not 100_000 <= self.easting_m < 900_000:
            raise PlaceError(
                say(
                    "A UTM easting has six digits, from 100000 to 900000 m; {easting} was given. Easting comes first, "
                    "then northing: were the two swapped?",
                    easting=f"{self.easting_m:.0f}",
                )
            )
        # 84 N at the edge of a zone is 9329005 m; 80 S is 1116915 m on the central meridian.
        low, high = (0, 9_400_000) if self.hemisphere == "N" else (1_000_000, 10_000_000)
        if not low <= self.northing_m <= high:
            told: dict[str, object] = {"northing": f"{self.northing_m:.0f}", "low": low, "high": high}
            raise PlaceError(
                say(
                    "A UTM northing of {northing} m cannot be in the northern half: it runs from {low} to {high} m.",
                    **told,
                )
                if self.hemisphere == "N"
                else say(
                    "A UTM northing of {northing} m cannot be in the southern half: it runs from {low} to {high} m.",
                    **told,
                )
            )

    def __str__(self) -> str:
        # Cut to the metre, not rounded, so that UTM and MGRS of one place show the same digits.
        return f"{self.zone}{self.hemisphere} {int(self.easting_m):06d} {int(self.northing_m):07d}"


def utm_zone(*, latitude: float, longitude: float) -> int:
    """The zone a place lies in. A place on the border of two belongs to the eastern one; 180 E counts as 180 W."""
    check_latitude(latitude)
    check_longitude(longitude)
    # A hair west of 180 E, longitude + 180 rounds up to 360: zone 60 is the last.
    zone = 1 if longitude == 180 else min(60, int((longitude + 180) // 6) + 1)
    if 56 <= latitude < 64 and 3 <= longitude < 12:
        return 32
    if latitude >= 72 and 0 <= longitude < 42:
        return 31 if longitude < 9 else 33 if longitude < 21 else 35 if longitude < 33 else 37
    return zone


def band(latitude: float) -> str:
    """The band letter, C to X, of 8 degrees each (X has 12). PlaceError beyond 80 S and 84 N."""
    check_latitude(latitude)
    if not SOUTH_END <= latitude <= NORTH_END:
        raise PlaceError(
            say(
                "UTM and MGRS squares end at 80° S and 84° N; {latitude} lies beyond. Give decimal degrees.",
                latitude=f"{latitude:g}",
            )
        )
    # A hair south of the equator, latitude + 80 rounds up to 80: band M is the last of the south.
    return BANDS[min(9 if latitude < 0 else 19, int((latitude + 80) // 8))]


def band_limits(letter: str) -> tuple[float, float]:
    """South and north edge of a band in degrees."""
    south = -80.0 + 8 * BANDS.index(letter)
    return south, 84.0 if letter == "X" else south + 8


def to_utm(*, latitude: float, longitude: float, zone: int | None = None) -> Utm:
    """The UTM coordinate in the place's own zone, or in a neighbouring `zone` where a map asks for it."""
    band(latitude)
    own = utm_zone(latitude=latitude, longitude=longitude)
    chosen = own if zone is None else zone
    hemisphere = "N" if latitude >= 0 else "S"
    easting, northing = _projection(chosen, hemisphere).forward(latitude=latitude, longitude=longitude)
    return Utm(zone=chosen, hemisphere=hemisphere, easting_m=easting, northing_m=northing)


def from_utm(utm: Utm) -> tuple[float, float]:
    """Latitude and longitude in decimal degrees (WGS84)."""
    return _projection(utm.zone, utm.hemisphere).inverse(easting_m=utm.easting_m, northing_m=utm.northing_m)


@lru_cache(maxsize=120)
def _projection(zone: int, hemisphere: str) -> TransverseMercator:
    if not 1 <= zone <= 60:
        raise PlaceError(say("UTM has no zone {zone}: zones run from 1 to 60.", zone=zone))
    return TransverseMercator(
        semi_major_m=WGS84_A_M,
        flattening=WGS84_F,
        central_meridian=6.0 * zone - 183,
        false_northing_m=0.0 if hemisphere == "N" else 10_000_000.0,
    )
