"""Finds as GeoJSON (RFC 7946), a line each. Pure.

An exact place is a point. A coarsened one is the cell it lies in, drawn as an area: never a point that could be taken for
the place. A place whose datum is not WGS 84 has no geometry, since RFC 7946 knows no other; its numbers are in the
properties.
"""

import json
from collections.abc import Mapping
from typing import Any

from ledger.exchange.occurrence import WGS84, PlaceOut

BEGIN = b'{"type":"FeatureCollection","features":[\n'
END = b"\n]}\n"
_NUMBERS = frozenset(
    {
        *("decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters", "coordinatePrecision"),
        *("minimumElevationInMeters", "maximumElevationInMeters", "year", "month", "day"),
    }
)


def feature(place: PlaceOut, properties: Mapping[str, str]) -> str:
    """One find; `properties` by the names of Darwin Core, empty ones are left out, and numbers stand as such."""
    told: dict[str, Any] = {
        name: float(value) if name in _NUMBERS else value for name, value in properties.items() if value
    }
    told = {
        name: int(value) if isinstance(value, float) and value.is_integer() else value
        for name, value in told.items()
    }
    made = {
        "type": "Feature",
        "id": told.get("occurrenceID"),
        "geometry": geometry(place),
        "properties": told,
    }
    return json.dumps(made, ensure_ascii=False, separators=(",", ":"))


def geometry(place: PlaceOut) -> dict[str, Any] | None:
    if place.latitude is None or place.longitude is None or place.datum != WGS84:
        return None
    if place.step_deg is None:
        # Longitude comes first there; beyond the earth there is no point.
        if not (-90 <= place.latitude <= 90 and -180 <= place.longitude <= 180):
            return None
        return {"type": "Point", "coordinates": [place.longitude, place.latitude]}
    half = place.step_deg / 2
    south, north = (_clean(place.latitude + side) for side in (-half, half))
    west, east = (_clean(place.longitude + side) for side in (-half, half))
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring]}


def _clean(degrees: float) -> float:
    # Edges of cells have three decimals at most.
    return round(degrees, 4)
