"""What a photo says about itself, and what is not believed."""

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from ledger.photos import exif_readers
from ledger.photos.exif import read_facts
from tests.ledger.photos.built import (
    ASCII,
    BYTE,
    DOUBLE,
    LATITUDE,
    PLACE,
    RATIONAL,
    SHORT,
    UNDEFINED,
    exif,
    photo,
    picture,
    saved,
)

DATA = Path(__file__).parent / "data"
TAKEN = datetime.fromisoformat("2025-10-04T14:05:06")  # the camera's own clock, no zone
DATE = {0x9003: (ASCII, "2025:10:04 14:05:06")}


def gps(*parts):
    """Facts of a photo with these GPS tags besides a good position."""
    together = dict(PLACE)
    for part in parts:
        together |= part
    return read_facts(photo(gps=together))


def test_a_full_block_is_read():
    facts = read_facts(
        photo(
            image={0x010F: (ASCII, "Drawn"), 0x0110: (ASCII, "M 1"), 0x0112: (SHORT, [6])},
            exif_=DATE | {0x9000: (UNDEFINED, b"0232"), 0x9011: (ASCII, "+02:00"), 0x9291: (ASCII, "25")},
            gps=PLACE
            | {
                0x0005: (BYTE, [0]),
                0x0006: (RATIONAL, [(1234, 10)]),
                0x0007: (RATIONAL, [(12, 1), (5, 1), (65, 10)]),
                0x0010: (ASCII, "M"),
                0x0011: (RATIONAL, [(27050, 100)]),
                0x0012: (ASCII, "WGS-84"),
                0x001D: (ASCII, "2025:10:04"),
                0x001F: (RATIONAL, [(45, 10)]),
            },
        )
    )
    assert facts.warnings == ()
    assert facts.taken_at == datetime.fromisoformat("2025-10-04T14:05:06.250")
    assert facts.utc_offset_minutes == 120
    assert facts.taken_at_utc == datetime(2025, 10, 4, 12, 5, 6, 250_000, tzinfo=UTC)
    assert facts.gps_utc == datetime(2025, 10, 4, 12, 5, 6, 500_000, tzinfo=UTC)
    assert (facts.latitude, facts.longitude) == pytest.approx((51.474333333, -0.001475))
    assert (facts.altitude_m, facts.error_m, facts.direction_deg) == (123.4, 4.5, 270.5)
    assert (facts.direction_ref, facts.altitude_ref, facts.datum) == ("magnetic", 0, "WGS-84")
    assert (facts.camera_make, facts.camera_model, facts.orientation) == ("Drawn", "M 1", 6)
    assert (facts.width, facts.height, facts.format, facts.exif_version) == (64, 48, "jpeg", "0232")


@pytest.mark.parametrize("format", ["PNG", "WEBP"])
def test_png_and_webp_carry_the_same_facts(format):
    facts = read_facts(saved(format=format, exif=exif({0x0112: (SHORT, [3])}, DATE, PLACE)))
    assert facts.latitude == pytest.approx(51.474333333)
    assert (facts.taken_at, facts.orientation) == (TAKEN, 3)
    assert (facts.format, facts.warnings) == (format.lower(), ())


def test_a_heic_that_exifread_gives_up_on_is_read_by_pillow():
    data = (DATA / "tiny_upright.heic").read_bytes()
    assert exif_readers.read_by_exifread(data) is None
    facts = read_facts(data)
    assert (facts.latitude, facts.longitude) == pytest.approx((51.474333333, -0.001475))
    assert (facts.taken_at, facts.utc_offset_minutes) == (TAKEN, 120)
    assert (facts.error_m, facts.altitude_m, facts.warnings) == (4.5, 123.4, ())


def test_a_turned_heic_comes_upright_and_says_so():
    facts = read_facts((DATA / "tiny_turned.heic").read_bytes())
    assert (facts.width, facts.height, facts.orientation) == (32, 48, 1)


def test_a_photo_without_exif_says_nothing():
    facts = read_facts(saved())
    assert facts.warnings == ()
    assert {facts.taken_at, facts.latitude, facts.altitude_m, facts.camera_make, facts.orientation} == {None}


def test_a_file_is_read_from_its_start_wherever_it_stands():
    file = io.BytesIO(photo(gps=PLACE))
    file.read()
    assert read_facts(file).latitude == pytest.approx(51.474333333)


def test_what_is_no_photo_gives_no_facts_and_a_reason():
    facts = read_facts(b"%PDF-1.7")
    assert facts.format is None and "PDF" in facts.warnings[0]


def test_a_date_without_offset_is_never_taken_for_utc():
    facts = read_facts(photo(exif_=DATE))
    assert facts.taken_at == TAKEN
    assert facts.taken_at.tzinfo is None
    assert facts.utc_offset_minutes is None and facts.taken_at_utc is None


@pytest.mark.parametrize("blank", ["0000:00:00 00:00:00", "    :  :     :  :  ", "", "                   "])
def test_a_blank_date_is_unknown_without_a_warning(blank):
    facts = read_facts(photo(exif_={0x9003: (ASCII, blank)}))
    assert (facts.taken_at, facts.warnings) == (None, ())


@pytest.mark.parametrize("bad", ["2025:02:30 10:00:00", "yesterday", "2025:10:04", "2025:10:04 25:00:00"])
def test_a_date_that_cannot_be_is_unknown_with_a_warning(bad):
    facts = read_facts(photo(exif_={0x9003: (ASCII, bad)}))
    assert facts.taken_at is None and bad in facts.warnings[0]


@pytest.mark.parametrize(("written", "minutes"), [("-03:30", -210), ("+14:00", 840), ("Z", 0), ("+00:00", 0)])
def test_offsets_are_minutes_east_of_utc(written, minutes):
    facts = read_facts(photo(exif_=DATE | {0x9011: (ASCII, written)}))
    assert (facts.utc_offset_minutes, facts.warnings) == (minutes, ())


def test_a_blank_offset_is_unknown():
    facts = read_facts(photo(exif_=DATE | {0x9011: (ASCII, "   :  ")}))
    assert (facts.utc_offset_minutes, facts.warnings) == (None, ())


@pytest.mark.parametrize("bad", ["+15:00", "+02:75", "summer", "0200"])
def test_an_offset_that_no_zone_has_is_unknown_with_a_warning(bad):
    facts = read_facts(photo(exif_=DATE | {0x9011: (ASCII, bad)}))
    assert facts.utc_offset_minutes is None and bad in facts.warnings[0]


def test_position_zero_zero_is_absent_with_a_warning():
    zero = (RATIONAL, [(0, 1), (0, 1), (0, 1)])
    facts = gps({0x0002: zero, 0x0004: zero})
    assert (facts.latitude, facts.longitude) == (None, None)
    assert "0, 0" in facts.warnings[0]


def test_half_a_position_is_none():
    facts = read_facts(photo(gps=LATITUDE))
    assert (facts.latitude, facts.longitude) == (None, None)
    assert "one half" in facts.warnings[0]


def test_two_numbers_are_no_latitude():
    facts = gps({0x0002: (RATIONAL, [(51, 1), (28, 1)])})
    assert facts.latitude is None and "three numbers" in facts.warnings[0]


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), 1e300, -5.0])
def test_floats_that_are_no_degrees_are_refused(bad):
    facts = gps({0x0002: (DOUBLE, [bad, 0.0, 0.0])})
    assert facts.latitude is None and len(facts.warnings) >= 1


def test_a_huge_rational_is_refused():
    facts = gps({0x0004: (RATIONAL, [(4294967295, 1), (0, 1), (0, 1)])})
    assert facts.longitude is None and "180" in facts.warnings[0]


def test_the_pole_and_the_date_line_are_places():
    facts = gps(
        {0x0002: (RATIONAL, [(90, 1), (0, 1), (0, 1)]), 0x0004: (RATIONAL, [(180, 1), (0, 1), (0, 1)])}
    )
    assert (facts.latitude, facts.longitude, facts.warnings) == (90.0, -180.0, ())


def test_decimals_in_degrees_and_minutes_at_once_are_refused():
    facts = gps({0x0002: (RATIONAL, [(505, 10), (30, 1), (0, 1)])})
    assert facts.latitude is None and "two places" in facts.warnings[0]


def test_a_position_without_fix_is_kept_with_a_warning():
    facts = gps({0x0009: (ASCII, "V")})
    assert facts.latitude is not None and "status V" in facts.warnings[0]


@pytest.mark.parametrize(("ref", "metres"), [(0, 100.0), (1, -100.0), (2, 100.0), (3, -100.0)])
def test_altitude_takes_its_sign_from_the_reference(ref, metres):
    facts = gps({0x0005: (BYTE, [ref]), 0x0006: (RATIONAL, [(100, 1)])})
    assert (facts.altitude_m, facts.altitude_ref, facts.warnings) == (metres, ref, ())


@pytest.mark.parametrize("bad", [(100, 0), (4294967295, 1)])
def test_an_absurd_altitude_is_unknown(bad):
    facts = gps({0x0006: (RATIONAL, [bad])})
    assert facts.altitude_m is None and "altitude" in facts.warnings[0]
    assert facts.latitude is not None


@pytest.mark.parametrize("bad", [(0, 1), (5, 0), (4294967295, 1)])
def test_an_absurd_position_error_is_unknown_and_never_zero(bad):
    facts = gps({0x001F: (RATIONAL, [bad])})
    assert facts.error_m is None and "error" in facts.warnings[0]


@pytest.mark.parametrize(("written", "degrees"), [((36000, 100), 0.0), ((35999, 100), 359.99), ((0, 1), 0.0)])
def test_directions_run_from_0_to_below_360(written, degrees):
    facts = gps({0x0011: (RATIONAL, [written])})
    assert (facts.direction_deg, facts.direction_ref) == (degrees, "true")


def test_a_direction_beyond_the_circle_is_unknown():
    facts = gps({0x0011: (RATIONAL, [(361, 1)])})
    assert (facts.direction_deg, facts.direction_ref) == (None, None)


def test_gps_time_without_its_date_is_not_used():
    facts = gps({0x0007: (RATIONAL, [(12, 1), (0, 1), (0, 1)])})
    assert (facts.gps_utc, facts.warnings) == (None, ())


@pytest.mark.parametrize("clock", [[(25, 1), (0, 1), (0, 1)], [(12, 0), (0, 1), (0, 1)], [(12, 1)]])
def test_a_gps_time_that_is_none_is_not_used(clock):
    facts = gps({0x0007: (RATIONAL, clock), 0x001D: (ASCII, "2025:10:04")})
    assert facts.gps_utc is None and "GPS" in facts.warnings[0]


def test_clocks_more_than_twelve_hours_apart_are_noted():
    clock = {0x0007: (RATIONAL, [(1, 1), (0, 1), (0, 1)]), 0x001D: (ASCII, "2025:10:06")}
    facts = read_facts(photo(exif_=DATE | {0x9011: (ASCII, "+02:00")}, gps=PLACE | clock))
    assert "37 hours" in facts.warnings[0]


@pytest.mark.parametrize("bad", [0, 9, 65535])
def test_an_orientation_outside_1_to_8_is_unknown(bad):
    facts = read_facts(photo(image={0x0112: (SHORT, [bad])}))
    assert facts.orientation is None and "1 to 8" in facts.warnings[0]


def test_control_characters_in_a_camera_name_are_dropped():
    assert read_facts(photo(image={0x010F: (ASCII, "Dra\x07wn\r\n")})).camera_make == "Drawn"


def test_readers_that_disagree_are_both_named(monkeypatch):
    monkeypatch.setattr("ledger.photos.exif.read_by_pillow", lambda picture: {"make": "Other"})
    facts = read_facts(photo(image={0x010F: (ASCII, "Drawn")}))
    assert facts.camera_make == "Drawn"
    assert "'Drawn'" in facts.warnings[0] and "'Other'" in facts.warnings[0]


def test_letters_outside_ascii_are_no_disagreement():
    assert read_facts(photo(image={0x010F: (ASCII, "Bäume")})).warnings == ()


def test_a_grey_picture_is_read_like_any_other():
    facts = read_facts(saved(picture(mode="L")))
    assert (facts.width, facts.warnings) == (64, ())
