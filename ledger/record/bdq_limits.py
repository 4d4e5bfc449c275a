"""Bounds that TDWG BDQ Core sets by default, in one place: our record checks and the tests we claim both read them.

Standard: TDWG Biodiversity Data Quality, BDQ Core, draft for review, 2026-06-03 (CC BY 4.0).
"""

from datetime import date

LEAST_UNCERTAINTY_M = 1.0
MOST_UNCERTAINTY_M = 20_037_509.0  # half the equator
LEAST_ELEVATION_M = -430.0
MOST_ELEVATION_M = 8_850.0
EARLIEST_EVENT = date(1582, 11, 15)
