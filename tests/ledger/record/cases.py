# ruff: noqa: DTZ001  (a camera's clock has no zone)
"""A find whose record gives no reason to look, the table and the limits: each test states only what it changes."""

import csv
import gzip
import json
from dataclasses import replace
from datetime import date, datetime, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from ledger.record.checks import record_flags
from ledger.record.decay import scales_from_json
from ledger.record.facts import AreaCircle, Limits, PhotoFacts, RecordFacts
from ledger.record.flags import Flag, FlagTable
from ledger.record.hosts import HostTable
from ledger.record.land import LandMap

FIXTURES = Path(__file__).parents[3] / "fixtures"


def _json(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text("utf-8"))


@lru_cache
def flag_table() -> FlagTable:
    return FlagTable.from_json(_json("flags.json"))


@lru_cache
def land() -> LandMap:
    with gzip.open(FIXTURES / "land" / "land-50m.json.gz") as packed:
        return LandMap.from_topojson(json.load(packed))


@lru_cache
def hosts() -> HostTable:
    with (FIXTURES / "hosts.csv").open(encoding="utf-8", newline="") as rows:
        return HostTable.from_rows(csv.DictReader(rows))


LIMITS = Limits(
    area=AreaCircle(latitude=52.0, longitude=-1.0, radius_m=60_000),
    decay_scales=scales_from_json(_json("decay_scales.json")),
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
