"""ISO 6709 strings against published examples.

Source: iso6709_string_examples.csv, ISO 6709:2008 Annex H style, seen in secondary copies (data/README.md).
"""

import csv
from pathlib import Path

import pytest

from ledger.places.iso6709 import parse_iso6709, write_iso6709
from ledger.places.parse import parse_position
from ledger.places.position import Position

DATA = Path(__file__).parent / "data" / "iso6709_string_examples.csv"
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))
# CRSxxxx stands for any reference system and cannot be written back from a place on a known one.
NAMED = [row for row in ROWS if "CRSxxxx" not in row["string"]]


def test_no_row_was_lost() -> None:
    assert (len(ROWS), len(NAMED)) == (16, 7)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["string"])
def test_a_published_string_is_read(row: dict[str, str]) -> None:
    position = parse_iso6709(row["string"])
    assert position.latitude == pytest.approx(float(row["lat_deg"]), abs=5e-8)
    assert position.longitude == pytest.approx(float(row["lon_deg"]), abs=5e-8)
    assert position.altitude_m == (float(row["height_m"]) if row["height_m"] else None)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["string"])
def test_the_place_field_takes_the_string_as_well(row: dict[str, str]) -> None:
    assert parse_position(row["string"]) == parse_iso6709(row["string"])


def _decimals(row: dict[str, str], axis: str) -> int:
    """Decimals of the published string itself: 4 and 3 for the Eiffel Tower."""
    figures = row["string"].rstrip("/").partition("CRS")[0]
    pieces = [len(piece.partition(".")[2]) for piece in figures.replace("-", "+").split("+") if piece]
    return pieces[0 if axis == "latitude" else 1]


@pytest.mark.parametrize("row", NAMED, ids=lambda row: row["string"])
def test_a_published_string_is_written_back_sign_for_sign(row: dict[str, str]) -> None:
    position = Position(
        latitude=float(row["lat_deg"]),
        longitude=float(row["lon_deg"]),
        altitude_m=float(row["height_m"]) if row["height_m"] else None,
    )
    ours = write_iso6709(
        position,
        latitude_decimals=_decimals(row, "latitude"),
        longitude_decimals=_decimals(row, "longitude"),
    )
    assert ours == row["string"]


def test_the_180th_meridian_is_written_with_a_minus() -> None:
    assert write_iso6709(
        Position(latitude=-0.0, longitude=180.0), latitude_decimals=0, longitude_decimals=0
    ) == ("+00-180/")
