"""BDQ Core tests of the place: coordinates, their error and datum, elevation, country, and whether there is one."""

from ledger.record.bdq_limits import (
    LEAST_ELEVATION_M,
    LEAST_UNCERTAINTY_M,
    MOST_ELEVATION_M,
    MOST_UNCERTAINTY_M,
)
from ledger.record.bdq_terms import (
    UNMET,
    BdqTest,
    Parameters,
    Record,
    Response,
    has,
    not_empty,
    number,
    number_in_range,
    verdict,
)
from ledger.record.countries import ISO_3166_ALPHA_2

LATITUDE, LONGITUDE = "dwc:decimalLatitude", "dwc:decimalLongitude"
UNCERTAINTY = "dwc:coordinateUncertaintyInMeters"
LOWEST, HIGHEST = "dwc:minimumElevationInMeters", "dwc:maximumElevationInMeters"

# The terms any one of which says where (VALIDATION_LOCATION_NOTEMPTY, information elements acted upon).
LOCATION_TERMS = tuple(
    f"dwc:{name}"
    for name in (
        *("higherGeographyID", "higherGeography", "continent", "country", "countryCode", "stateProvince"),
        *("county", "municipality", "waterBody", "island", "islandGroup", "locality", "locationID"),
        *("verbatimLocality", "decimalLatitude", "decimalLongitude", "verbatimCoordinates"),
        *("verbatimLatitude", "verbatimLongitude", "footprintWKT"),
    )
)


def coordinates_not_zero(record: Record, parameters: Parameters) -> Response:
    """Fails only where both are nought."""
    latitude, longitude = number(record, LATITUDE), number(record, LONGITUDE)
    if latitude is None or longitude is None:
        return UNMET
    return verdict(latitude != 0 or longitude != 0)


def uncertainty_in_range(record: Record, parameters: Parameters) -> Response:
    """1 to 20,037,509 m. What is no number fails; it is not merely unjudged (the text says so)."""
    if not has(record, UNCERTAINTY):
        return UNMET
    value = number(record, UNCERTAINTY)
    return verdict(value is not None and LEAST_UNCERTAINTY_M <= value <= MOST_UNCERTAINTY_M)


def lowest_not_above_highest(record: Record, parameters: Parameters) -> Response:
    """Minimum elevation at most the maximum."""
    lowest, highest = number(record, LOWEST), number(record, HIGHEST)
    if lowest is None or highest is None:
        return UNMET
    return verdict(lowest <= highest)


def country_not_empty(record: Record, parameters: Parameters) -> Response:
    """The high seas (code XZ) have no country to name."""
    return verdict(has(record, "dwc:country") or record.get("dwc:countryCode") == "XZ")


def country_code_standard(record: Record, parameters: Parameters) -> Response:
    """A code of ISO 3166-1 alpha-2 in capitals, or ZZ (unknown) or XZ (high seas)."""
    if not has(record, "dwc:countryCode"):
        return UNMET
    return verdict(record["dwc:countryCode"].strip() in ISO_3166_ALPHA_2 | {"XZ", "ZZ"})


def location_not_empty(record: Record, parameters: Parameters) -> Response:
    """At least one term says where."""
    return verdict(any(has(record, term) for term in LOCATION_TERMS))


TESTS = (
    BdqTest(
        "b6ecda2a-ce36-437a-b515-3ae94948fe83",
        "VALIDATION_DECIMALLATITUDE_INRANGE",
        number_in_range(LATITUDE, -90, 90),
    ),
    BdqTest(
        "0949110d-c06b-450e-9649-7c1374d940d1",
        "VALIDATION_DECIMALLONGITUDE_INRANGE",
        number_in_range(LONGITUDE, -180, 180),
    ),
    BdqTest(
        "7d2485d5-1ba7-4f25-90cb-f4480ff1a275", "VALIDATION_DECIMALLATITUDE_NOTEMPTY", not_empty(LATITUDE)
    ),
    BdqTest(
        "9beb9442-d942-4f42-8b6a-fcea01ee086a", "VALIDATION_DECIMALLONGITUDE_NOTEMPTY", not_empty(LONGITUDE)
    ),
    BdqTest("1bf0e210-6792-4128-b8cc-ab6828aa4871", "VALIDATION_COORDINATES_NOTZERO", coordinates_not_zero),
    BdqTest(
        "c6adf2ea-3051-4498-97f4-4b2f8a105f57",
        "VALIDATION_COORDINATEUNCERTAINTY_INRANGE",
        uncertainty_in_range,
    ),
    BdqTest(
        "239ec40e-a729-4a8e-ba69-e0bf03ac1c44",
        "VALIDATION_GEODETICDATUM_NOTEMPTY",
        not_empty("dwc:geodeticDatum"),
    ),
    BdqTest("6ce2b2b4-6afe-4d13-82a0-390d31ade01c", "VALIDATION_COUNTRY_NOTEMPTY", country_not_empty),
    BdqTest(
        "853b79a2-b314-44a2-ae46-34a1e7ed85e4",
        "VALIDATION_COUNTRYCODE_NOTEMPTY",
        not_empty("dwc:countryCode"),
    ),
    BdqTest(
        "0493bcfb-652e-4d17-815b-b0cce0742fbe",
        "VALIDATION_COUNTRYCODE_STANDARD",
        country_code_standard,
        uses_authority=True,
    ),
    BdqTest("58486cb6-1114-4a8a-ba1e-bd89cfe887e9", "VALIDATION_LOCATION_NOTEMPTY", location_not_empty),
    BdqTest(
        "0bb8297d-8f8a-42d2-80c1-558f29efe798",
        "VALIDATION_MINELEVATION_INRANGE",
        number_in_range(LOWEST, LEAST_ELEVATION_M, MOST_ELEVATION_M),
    ),
    BdqTest(
        "c971fe3f-84c1-4636-9f44-b1ec31fd63c7",
        "VALIDATION_MAXELEVATION_INRANGE",
        number_in_range(HIGHEST, LEAST_ELEVATION_M, MOST_ELEVATION_M),
    ),
    BdqTest(
        "d708526b-6561-438e-aa1a-82cd80b06396",
        "VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION",
        lowest_not_above_highest,
    ),
)
