"""Transverse Mercator on any ellipsoid, both ways, by Krueger's series.

Krueger 1912, with the coefficients to the sixth order in n as printed by Karney 2011, "Transverse Mercator with an
accuracy of a few nanometers", J. Geod. 85: 475-485, equations 35 and 36. Within 40 degrees of the central meridian
the error is far below a millimetre.
"""

import math
from dataclasses import dataclass, field

from ledger.places.errors import PlaceError
from ledger.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class TransverseMercator:
    """One projection: lengths in metres, angles in degrees, latitude of origin and false origin included."""

    semi_major_m: float
    flattening: float
    central_meridian: float
    latitude_of_origin: float = 0.0
    scale: float = 0.9996
    false_easting_m: float = 500_000.0
    false_northing_m: float = 0.0
    _radius: float = field(init=False, repr=False)
    _alpha: tuple[float, ...] = field(init=False, repr=False)
    _beta: tuple[float, ...] = field(init=False, repr=False)
    _origin_m: float = field(init=False, repr=False, default=0.0)

    def __post_init__(self) -> None:
        n = self.flattening / (2 - self.flattening)
        rectifying = self.semi_major_m / (1 + n) * (1 + n**2 / 4 + n**4 / 64 + n**6 / 256)
        object.__setattr__(self, "_radius", self.scale * rectifying)
        object.__setattr__(self, "_alpha", _alpha(n))
        object.__setattr__(self, "_beta", _beta(n))
        if self.latitude_of_origin:
            _, origin = self._unshifted(self.latitude_of_origin, self.central_meridian)
            object.__setattr__(self, "_origin_m", origin)

    def forward(self, *, latitude: float, longitude: float) -> tuple[float, float]:
        """Easting and northing in metres."""
        x, y = self._unshifted(latitude, longitude)
        return self.false_easting_m + x, self.false_northing_m + y - self._origin_m

    def inverse(self, *, easting_m: float, northing_m: float) -> tuple[float, float]:
        """Latitude and longitude in degrees. PlaceError where the point lies beyond what the series can take."""
        xi = (northing_m - self.false_northing_m + self._origin_m) / self._radius
        eta = (easting_m - self.false_easting_m) / self._radius
        if not (abs(xi) <= math.pi / 2 + 0.01 and abs(eta) <= 1):
            raise PlaceError(
                say(
                    "Easting {easting} m, northing {northing} m lies off this grid. Check the digits.",
                    easting=f"{easting_m:.0f}",
                    northing=f"{northing_m:.0f}",
                )
            )
        xi_0, eta_0 = xi, eta
        for j, beta in enumerate(self._beta, start=1):
            xi_0 -= beta * math.sin(2 * j * xi) * math.cosh(2 * j * eta)
            eta_0 -= beta * math.cos(2 * j * xi) * math.sinh(2 * j * eta)
        tau_conformal = math.sin(xi_0) / math.hypot(math.sinh(eta_0), math.cos(xi_0))
        longitude = self.central_meridian + math.degrees(math.atan2(math.sinh(eta_0), math.cos(xi_0)))
        latitude = math.degrees(math.atan(self._geodetic(tau_conformal)))
        return latitude, _wrapped(longitude)

    def _unshifted(self, latitude: float, longitude: float) -> tuple[float, float]:
        from_meridian = math.radians(_wrapped(longitude - self.central_meridian))
        tau = self._conformal(math.tan(math.radians(latitude)))
        xi_0 = math.atan2(tau, math.cos(from_meridian))
        eta_0 = math.asinh(math.sin(from_meridian) / math.hypot(tau, math.cos(from_meridian)))
        xi, eta = xi_0, eta_0
        for j, alpha in enumerate(self._alpha, start=1):
            xi += alpha * math.sin(2 * j * xi_0) * math.cosh(2 * j * eta_0)
            eta += alpha * math.cos(2 * j * xi_0) * math.sinh(2 * j * eta_0)
        return self._radius * eta, self._radius * xi

    def _conformal(self, tau: float) -> float:
        """Tangent of the conformal latitude from that of the geodetic (Karney 2011, equations 7 to 9)."""
        e = math.sqrt(self.flattening * (2 - self.flattening))
        sigma = math.sinh(e * math.atanh(e * tau / math.hypot(1, tau)))
        return tau * math.hypot(1, sigma) - sigma * math.hypot(1, tau)

    def _geodetic(self, tau_conformal: float) -> float:
        """The way back, by Newton's method (Karney 2011, equations 19 to 21); three rounds reach full precision."""
        e2 = self.flattening * (2 - self.flattening)
        tau = tau_conformal
        for _ in range(6):
            there = self._conformal(tau)
            step = (tau_conformal - there) / math.hypot(1, there)
            tau += step * (1 + (1 - e2) * tau**2) / ((1 - e2) * math.hypot(1, tau))
            if abs(step) < 1e-15 * max(1.0, abs(tau)):
                break
        return tau


def _wrapped(degrees: float) -> float:
    """The same angle in -180..180; -180 and 180 stay as they are."""
    return degrees if -180 <= degrees <= 180 else math.remainder(degrees, 360)


def _alpha(n: float) -> tuple[float, ...]:
    return (
        n / 2 - n**2 * 2 / 3 + n**3 * 5 / 16 + n**4 * 41 / 180 - n**5 * 127 / 288 + n**6 * 7891 / 37800,
        n**2 * 13 / 48 - n**3 * 3 / 5 + n**4 * 557 / 1440 + n**5 * 281 / 630 - n**6 * 1983433 / 1935360,
        n**3 * 61 / 240 - n**4 * 103 / 140 + n**5 * 15061 / 26880 + n**6 * 167603 / 181440,
        n**4 * 49561 / 161280 - n**5 * 179 / 168 + n**6 * 6601661 / 7257600,
        n**5 * 34729 / 80640 - n**6 * 3418889 / 1995840,
        n**6 * 212378941 / 319334400,
    )


def _beta(n: float) -> tuple[float, ...]:
    return (
        n / 2 - n**2 * 2 / 3 + n**3 * 37 / 96 - n**4 / 360 - n**5 * 81 / 512 + n**6 * 96199 / 604800,
        n**2 / 48 + n**3 / 15 - n**4 * 437 / 1440 + n**5 * 46 / 105 - n**6 * 1118711 / 3870720,
        n**3 * 17 / 480 - n**4 * 37 / 840 - n**5 * 209 / 4480 + n**6 * 5569 / 90720,
        n**4 * 4397 / 161280 - n**5 * 11 / 504 - n**6 * 830251 / 7257600,
        n**5 * 4583 / 161280 - n**6 * 108847 / 3991680,
        n**6 * 20648693 / 638668800,
    )
