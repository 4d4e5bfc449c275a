# ruff: noqa: DTZ001  (a camera's clock has no zone)
"""A find whose record gives no reason to look, the table and the limits: each test states only what it changes."""

from dataclasses import replace
from datetime import date, datetime, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from ledger.record.checks import record_flags
from ledger.record.facts import AreaCircle, Limits, PhotoFacts, RecordFacts
from ledger.record.files import read_decay_scales, read_flag_table, read_hosts, read_land
from ledger.record.flags import Flag, FlagTable
from ledger.record.hosts import HostTable
from ledger.record.land import LandMap

FIXTURES = Path(__file__).parents[3] / "fixtures"


@lru_cache
def flag_table() -> FlagTable:
    return read_flag_table(FIXTURES)


@lru_cache
def land() -> LandMap:
    return read_land(FIXTURES)


@lru_cache
def hosts() -> HostTable:
    return read_hosts(FIXTURES)


LIMITS = Limits(
    area=AreaCircle(latitude=52.0, longitude=-1.0, radius_m=60_000),
    decay_scales=read_decay_scales(FIXTURES),
)

PHOTO = PhotoFacts(
    id="p1",
    name="photo 1",
    view="underside",
    taken_at=datetime(2026, 10, 3, 14, 5),
    utc_offset_minutes=60,
    latitude=52.1,
    longitude=-1.1,
    error_m=5,
)

QUIET = RecordFacts(
    today=date(2026, 10, 5),
    found_on=date(2026, 10, 3),
    found_at_time=time(14, 0),
    utc_offset_minutes=60,
    latitude=52.1,
    longitude=-1.1,
    datum="WGS84",
    uncertainty_m=10,
    position_source="phone",
    altitude_m=120,
    host="Fagus sylvatica",
    host_group="hardwood",
    host_known_by="bark",
    host_states=frozenset({"hardwood"}),
    wood_states=frozenset({"fallen log"}),
    habits=frozenset({"fan"}),
    diameter_cm=30,
    decay_scale="usda-fia-log",
    decay_class="3",
    photos=(PHOTO, replace(PHOTO, id="p2", name="photo 2", view="cap")),
    collecting_code="ABC",
    collecting_serial=17,
    earlier_serial=16,
    taxon="Trametes versicolor",
)


def flags_of(limits: Limits = LIMITS, **changes: Any) -> dict[str, Flag]:
    """Flags of the quiet find with these changes, by code."""
    return {flag.code: flag for flag in record_flags(replace(QUIET, **changes), limits, flag_table())}


def with_photo(**changes: Any) -> tuple[PhotoFacts, ...]:
    """The quiet find's photos, the first changed."""
    return (replace(PHOTO, **changes), QUIET.photos[1])
