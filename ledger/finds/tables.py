"""The tables of fixtures/ that a find is read with, each read once per process."""

import csv
import gzip
import json
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.conf import settings

from ledger.record.decay import DecayScale, scales_from_json
from ledger.record.flags import FlagTable
from ledger.record.hosts import HostTable
from ledger.record.land import LandMap


def _fixture(name: str) -> Any:
    return json.loads((Path(settings.FIXTURES) / name).read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def flag_table() -> FlagTable:
    return FlagTable.from_json(_fixture("flags.json"))


@lru_cache(maxsize=1)
def decay_scales() -> Mapping[str, DecayScale]:
    return scales_from_json(_fixture("decay_scales.json"))


@lru_cache(maxsize=1)
def land_map() -> LandMap:
    with gzip.open(Path(settings.FIXTURES) / "land" / "land-50m.json.gz", "rt", encoding="utf-8") as file:
        return LandMap.from_topojson(json.load(file))


@lru_cache(maxsize=1)
def host_table() -> HostTable:
    with (Path(settings.FIXTURES) / "hosts.csv").open(encoding="utf-8", newline="") as file:
        return HostTable.from_rows(csv.DictReader(file))


@lru_cache(maxsize=1)
def host_genera() -> tuple[str, ...]:
    """The genera of the table of hosts, offered while a host is typed."""
    return tuple(sorted({match.genus for match in host_table().phrases.values() if match.genus}))
