"""One position on the earth: latitude and longitude in decimal degrees, with all that makes them worth anything."""

import math
from dataclasses import dataclass, replace

from ledger.places.errors import PlaceError
from ledger.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """A point with its datum, its uncertainty and where it came from.

    0, 0 is a place like any other here: a position that is not known is None, never 0, 0.

    latitude, longitude: decimal degrees, north and east positive, in -90..90 and -180..180.
    datum: as stated ("WGS84"); kept, never converted.
    uncertainty_m: radius in metres that holds the true place; None where nobody said. Never 0: no fix is perfect
        (Darwin Core, coordinateUncertaintyInMeters: zero is not a valid value).
    altitude_m: metres; which zero it counts from is not known here.
    source: "phone", "photo", "typed", "map" or what the caller uses.
    typed: the text as it was typed, unaltered; "" where nothing was typed.
    precision_deg: the unit of the last digit given (the coarser axis), in degrees; None for a grid reference
        or where the digits do not tell.
    least_uncertainty_m: what the digits alone leave open; a stated error below it is not believed.
    """

    latitude: float
    longitude: float
    datum: str = "WGS84"
    uncertainty_m: float | None = None
    altitude_m: float | None = None
    source: str = "typed"
    typed: str = ""
    precision_deg: float | None = None
    least_uncertainty_m: float | None = None

    def __post_init__(self) -> None:
        check_latitude(self.latitude)
        check_longitude(self.longitude)
        for name in ("uncertainty_m", "least_uncertainty_m"):
            metres = getattr(self, name)
            if metres is not None and not (_is_number(metres) and metres > 0):
                raise PlaceError(
                    say(
                        "An uncertainty of {metres} m cannot be: it is a radius above 0. Leave it empty where it is not "
                        "known.",
                        metres=repr(metres),
                    )
                )
        if self.altitude_m is not None and not _is_number(self.altitude_m):
            raise PlaceError(
                say(
                    "An altitude of {altitude} cannot be read as metres. Leave it empty if unknown.",
                    altitude=repr(self.altitude_m),
                )
            )

    def with_stated_error(self, error_m: float | None) -> "Position":
        """The same place with the error its finder states; never smaller than the digits allow.

        None keeps what the digits give.
        """
        if error_m is None:
            return self
        stated = replace(self, uncertainty_m=error_m)
        if self.least_uncertainty_m is None or error_m >= self.least_uncertainty_m:
            return stated
        return replace(self, uncertainty_m=self.least_uncertainty_m)


def check_latitude(latitude: float) -> None:
    """Raise PlaceError unless it is a finite number from -90 to 90."""
    if not _is_number(latitude):
        raise PlaceError(
            say(
                "The latitude {latitude} is not a number. Give degrees, such as 51.5074.",
                latitude=repr(latitude),
            )
        )
    if not -90 <= latitude <= 90:
        raise PlaceError(
            say(
                "The latitude {latitude} is beyond 90 degrees. Latitude comes first, then longitude: were the two "
                "swapped?",
                latitude=f"{latitude:g}",
            )
        )


def check_longitude(longitude: float) -> None:
    """Raise PlaceError unless it is a finite number from -180 to 180."""
    if not _is_number(longitude):
        raise PlaceError(
            say(
                "The longitude {longitude} is not a number. Give degrees, such as -0.1278.",
                longitude=repr(longitude),
            )
        )
    if not -180 <= longitude <= 180:
        raise PlaceError(
            say(
                "The longitude {longitude} is beyond 180 degrees. Check the digits.",
                longitude=f"{longitude:g}",
            )
        )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
