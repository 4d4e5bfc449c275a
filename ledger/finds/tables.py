"""The tables of fixtures/ that a find is read with, each read once per process."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from django.conf import settings

from ledger.record import files
from ledger.record.decay import DecayScale
from ledger.record.flags import FlagTable
from ledger.record.hosts import HostTable
from ledger.record.land import LandMap


@lru_cache(maxsize=1)
def flag_table() -> FlagTable:
    return files.read_flag_table(Path(settings.FIXTURES))


@lru_cache(maxsize=1)
def flag_places() -> Mapping[str, int]:
    """Where each kind of flag stands in the table, 0 the first; among equal severities the first is the worse."""
    return {code: place for place, code in enumerate(flag_table().kinds)}


@lru_cache(maxsize=1)
def decay_scales() -> Mapping[str, DecayScale]:
    return files.read_decay_scales(Path(settings.FIXTURES))


@lru_cache(maxsize=1)
def land_map() -> LandMap:
    return files.read_land(Path(settings.FIXTURES))


@lru_cache(maxsize=1)
def host_table() -> HostTable:
    return files.read_hosts(Path(settings.FIXTURES))


@lru_cache(maxsize=1)
def host_genera() -> tuple[str, ...]:
    """The genera of the table of hosts, offered while a host is typed."""
    return host_table().genera
