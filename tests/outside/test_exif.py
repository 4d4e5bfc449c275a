"""EXIF against values worked outside this project, and two readers against each other.

Sources: data/exif_gps_worked_examples.csv (forms of CIPA DC-008 / JEITA CP-3451, Exif 2.3x and 3.0; two inputs from a
published library document, the rest worked by hand or this project's own rules, as each row says). The photos carry
EXIF written byte by byte in tests/ledger/photos/built.py; Pillow and ExifRead are the two reference readers.
"""

import csv
import io
from pathlib import Path

import exifread
import pytest
from PIL import ExifTags, Image

from ledger.photos.exif import read_facts
from tests.ledger.photos.built import ASCII, BYTE, RATIONAL, SHORT, photo

DATA = Path(__file__).parent / "data" / "exif_gps_worked_examples.csv"
ROWS = list(csv.DictReader(DATA.read_text(encoding="utf-8").splitlines()))
TAGS = {"lat": (0x0001, 0x0002), "lon": (0x0003, 0x0004)}
# A good value for the axis that a row does not speak of.
OTHER = {
    "lat": {0x0003: (ASCII, "E"), 0x0004: (RATIONAL, [(10, 1), (0, 1), (0, 1)])},
    "lon": {0x0001: (ASCII, "N"), 0x0002: (RATIONAL, [(50, 1), (0, 1), (0, 1)])},
}
FULL = {
    0x0001: (ASCII, "S"),
    0x0002: (RATIONAL, [(33, 1), (55, 1), (3000, 100)]),
    0x0003: (ASCII, "E"),
    0x0004: (RATIONAL, [(151, 1), (12, 1), (123456, 10000)]),
    0x0005: (BYTE, [1]),
    0x0006: (RATIONAL, [(159595, 1000)]),
    0x0011: (RATIONAL, [(35999, 100)]),
    0x001F: (RATIONAL, [(77, 10)]),
}
IMAGE = {0x010F: (ASCII, "Drawn"), 0x0110: (ASCII, "Model"), 0x0112: (SHORT, [8])}
EXIF = {0x9003: (ASCII, "2025:10:04 14:05:06"), 0x9011: (ASCII, "+02:00"), 0x9291: (ASCII, "125")}


def photo_of(row) -> bytes:
    ref_tag, tag = TAGS[row["axis"]]
    parts = [(int(row[f"{part}_num"]), int(row[f"{part}_den"])) for part in ("deg", "min", "sec")]
    written = {tag: (RATIONAL, parts)} | ({ref_tag: (ASCII, row["ref"])} if row["ref"] else {})
    return photo(gps=OTHER[row["axis"]] | written)


@pytest.mark.parametrize("row", ROWS, ids=[row["case"] for row in ROWS])
def test_each_worked_example_gives_its_degrees_or_none(row):
    facts = read_facts(photo_of(row))
    value = facts.latitude if row["axis"] == "lat" else facts.longitude
    if row["expected_decimal_degrees"]:
        assert value == pytest.approx(float(row["expected_decimal_degrees"]), abs=5e-9)
    else:
        assert value is None
        assert facts.warnings


def test_all_thirteen_examples_are_there():
    assert len(ROWS) == 13


def test_the_example_with_zero_is_marked_suspicious():
    row = next(row for row in ROWS if row["case"].startswith("zero position"))
    assert any("exactly 0" in warning for warning in read_facts(photo_of(row)).warnings)


def degrees(parts, ref) -> float:
    value = sum(float(part) / 60**power for power, part in enumerate(parts))
    return -value if ref in "SW" else value


def test_pillow_reads_the_same_facts():
    data = photo(IMAGE, EXIF, FULL)
    facts = read_facts(data)
    exif = Image.open(io.BytesIO(data)).getexif()
    inner, gps = exif.get_ifd(ExifTags.IFD.Exif), exif.get_ifd(ExifTags.IFD.GPSInfo)
    assert facts.latitude == pytest.approx(degrees(gps[2], gps[1]), abs=1e-9)
    assert facts.longitude == pytest.approx(degrees(gps[4], gps[3]), abs=1e-9)
    assert facts.altitude_m == pytest.approx(-float(gps[6]))
    assert (facts.direction_deg, facts.error_m) == pytest.approx((float(gps[17]), float(gps[31])))
    assert (facts.camera_make, facts.camera_model) == (exif[0x010F], exif[0x0110])
    assert facts.orientation == exif[0x0112]
    assert f"{facts.taken_at:%Y:%m:%d %H:%M:%S}" == inner[0x9003]
    assert facts.taken_at.microsecond == 125_000
    assert (facts.utc_offset_minutes, inner[0x9011]) == (120, "+02:00")


def test_exifread_reads_the_same_facts():
    data = photo(IMAGE, EXIF, FULL)
    facts = read_facts(data)
    tags = exifread.process_file(io.BytesIO(data), details=False)
    latitude, longitude = exifread.utils.get_gps_coords(dict(tags))
    assert (facts.latitude, facts.longitude) == pytest.approx((latitude, longitude), abs=1e-9)
    assert facts.altitude_m == pytest.approx(-float(tags["GPS GPSAltitude"].values[0]))
    assert facts.orientation == tags["Image Orientation"].values[0]
    assert f"{facts.taken_at:%Y:%m:%d %H:%M:%S}" == tags["EXIF DateTimeOriginal"].values
    assert facts.warnings == ()


def test_what_pillow_writes_is_read_back():
    """The other way round: a block written by a reference library, not by these tests."""
    exif = Image.Exif()
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps.update({1: "N", 2: (43.0, 17.0, 24.46), 3: "E", 4: (84.0, 13.0, 37.67), 5: b"\x00", 6: 1595.95})
    out = io.BytesIO()
    Image.new("RGB", (300, 200)).save(out, "JPEG", exif=exif)
    facts = read_facts(out.getvalue())
    assert (facts.latitude, facts.longitude) == pytest.approx((43.29012778, 84.22713056), abs=1e-6)
    assert facts.altitude_m == pytest.approx(1595.95, abs=1e-3)
