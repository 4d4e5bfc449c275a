"""The tables of this room, read from the folder of fixtures. Errors name the file."""

import csv
import gzip
import json
import zlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from ledger.record.decay import DecayScale, scales_from_json
from ledger.record.flags import FlagTable
from ledger.record.hosts import HostTable
from ledger.record.land import LandMap

_T = TypeVar("_T")


class RecordFileError(ValueError):
    """A file of this room is missing or cannot be read; the message names it and says what to do."""


def read_flag_table(folder: Path) -> FlagTable:
    """`flags.json`."""
    return _built(folder / "flags.json", FlagTable.from_json)


def read_decay_scales(folder: Path) -> Mapping[str, DecayScale]:
    """`decay_scales.json`, by code."""
    return _built(folder / "decay_scales.json", scales_from_json)


def read_land(folder: Path) -> LandMap:
    """`land/land-50m.json.gz`; takes about a tenth of a second, so keep the result."""
    return _built(folder / "land" / "land-50m.json.gz", LandMap.from_topojson)


def read_hosts(folder: Path) -> HostTable:
    """`hosts.csv`."""
    path = folder / "hosts.csv"
    try:
        with path.open(encoding="utf-8-sig", newline="") as rows:
            return HostTable.from_rows(csv.DictReader(rows))
    except (OSError, KeyError, ValueError) as error:
        raise _refusal(path, error) from error


def _built(path: Path, build: Callable[[Mapping[str, Any]], _T]) -> _T:
    try:
        data = path.read_bytes()
        table = json.loads(gzip.decompress(data) if path.suffix == ".gz" else data)
        if not isinstance(table, dict):
            raise RecordFileError(
                f"{path.name} cannot be used: it holds no table; take it again, or mend it."
            )
        return build(table)
    except RecordFileError:
        raise
    except (OSError, zlib.error, KeyError, TypeError, EOFError, ValueError) as error:
        raise _refusal(path, error) from error


def _refusal(path: Path, error: Exception) -> RecordFileError:
    what = "is missing" if isinstance(error, FileNotFoundError) else f"cannot be used: {error}"
    return RecordFileError(f"{path.name} {what}; take it again from the repository, or mend it.")
