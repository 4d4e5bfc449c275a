# ruff: noqa: DTZ001  (a camera's clock has no zone)
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.record.facts import AwaitedFacts
from ledger.record.photo_checks import apart_from_day
from tests.ledger.record.cases import flags_of, with_photo


def test_a_photo_of_the_same_day_with_its_zone_agrees():
    assert "photo_date_differs" not in flags_of(photos=with_photo(taken_at=datetime(2026, 10, 3, 23, 59)))


def test_a_photo_of_the_next_minute_with_its_zone_differs_exactly():
    flag = flags_of(photos=with_photo(taken_at=datetime(2026, 10, 4, 0, 0)))["photo_date_differs"]
    assert flag.subject == "p1"
    assert flag.numbers["allowed_minutes"] == 0
    for part in ("4 October 2026, 00:00", "UTC+01:00", "3 October 2026"):
        assert part in flag.sentence


def test_a_photo_without_zone_may_be_a_day_of_zones_off_and_no_more():
    inside = with_photo(taken_at=datetime(2026, 10, 5, 1, 59), utc_offset_minutes=None)
    beyond = with_photo(taken_at=datetime(2026, 10, 5, 2, 0), utc_offset_minutes=None)
    assert "photo_date_differs" not in flags_of(photos=inside)
    flag = flags_of(photos=beyond)["photo_date_differs"]
    assert "zone not recorded" in flag.sentence
    assert "1 d 2 h" in flag.sentence


def test_two_zones_are_compared_as_moments():
    # 23:30 at UTC-07:00 is 07:30 of the next day at UTC+01:00.
    photos = with_photo(taken_at=datetime(2026, 10, 2, 23, 30), utc_offset_minutes=-420)
    assert "photo_date_differs" not in flags_of(photos=photos)


def test_the_photo_lends_its_zone_to_a_find_without_one():
    photos = with_photo(taken_at=datetime(2026, 10, 2, 23, 30), utc_offset_minutes=-420)
    assert "photo_date_differs" in flags_of(photos=photos, utc_offset_minutes=None)


def test_a_photo_or_a_find_without_date_is_not_compared():
    assert "photo_date_differs" not in flags_of(photos=with_photo(taken_at=None))
    assert "photo_date_differs" not in flags_of(found_on=None)


@given(
    taken=st.datetimes(datetime(2000, 1, 1), datetime(2030, 1, 1)),
    photo=st.integers(-720, 840),
    find=st.integers(-720, 840),
    shift=st.integers(-300, 300),
)
def test_only_the_difference_of_two_offsets_counts(taken, photo, find, shift):
    day = date(2015, 6, 1)
    assert apart_from_day(taken, photo, day, find) == apart_from_day(taken, photo + shift, day, find + shift)


@given(taken=st.datetimes(datetime(2015, 6, 1), datetime(2015, 6, 1, 23, 59, 59)))
def test_every_moment_of_the_day_itself_is_inside_it(taken):
    assert apart_from_day(taken, None, date(2015, 6, 1), None) == timedelta(0)


def test_a_photo_within_both_errors_agrees():
    # 0.00018 degrees of latitude are 20.0 m (111.26 km per degree at 52 N); 10 m + 2 x 5 m = 20 m are allowed.
    assert "photo_place_differs" not in flags_of(photos=with_photo(latitude=52.100175))


def test_a_photo_beyond_both_errors_differs_and_names_distance_and_errors():
    flag = flags_of(photos=with_photo(latitude=52.1010))["photo_place_differs"]
    assert flag.numbers == {"distance_m": 111, "allowed_m": 20, "find_error_m": 10, "photo_error_m": 10}
    for part in ("111 m", "20 m", "10 m"):
        assert part in flag.sentence


@pytest.mark.parametrize("error_m", [None, 0.0, -3.0, float("nan")])
def test_a_photo_without_a_usable_error_is_given_thirty_metres(error_m):
    flag = flags_of(photos=with_photo(latitude=52.1010, error_m=error_m))["photo_place_differs"]
    assert flag.numbers["photo_error_m"] == 30


def test_a_camera_without_a_fix_is_not_compared():
    assert "photo_place_differs" not in flags_of(photos=with_photo(latitude=0.0, longitude=0.0))
    assert "photo_place_differs" not in flags_of(photos=with_photo(latitude=None, longitude=None))


def test_a_find_at_zero_is_one_flag_and_its_photos_add_none():
    flags = flags_of(photos=with_photo(latitude=52.1, longitude=-2.3), latitude=0.0, longitude=0.0)
    assert "place_zero" in flags
    assert not {"photo_place_differs", "place_outside_area", "place_at_sea"} & set(flags)


def test_no_photo_at_all_is_one_flag():
    assert set(flags_of(photos=())) == {"photos_missing"}


def test_a_missing_underside_and_a_missing_cap_are_told_apart():
    assert set(flags_of(photos=with_photo(view="side"))) == {"view_underside_missing"}
    assert set(flags_of(photos=with_photo()[:1])) == {"view_cap_missing"}


def test_a_crust_flat_on_the_wood_has_no_cap_to_show():
    photos = with_photo()[:1]
    assert "view_cap_missing" not in flags_of(photos=photos, habits=frozenset({"resupinate"}))
    assert "view_cap_missing" in flags_of(photos=photos, habits=frozenset({"resupinate", "bracket"}))


def test_what_is_keyed_without_a_camera_lacks_its_views_as_a_note_alone():
    flags = flags_of(photos=(), keyed_from="at the foray table")
    assert {code: flag.severity for code, flag in flags.items()} == {"views_missing_keyed": "note"}
    assert "underside and cap; it was keyed at the foray table" in flags["views_missing_keyed"].sentence


def test_a_photo_added_to_what_was_keyed_makes_no_doubt_of_the_note():
    flags = flags_of(photos=with_photo(view="side"), keyed_from="from a paper slip")
    assert {code: flag.numbers["missing"] for code, flag in flags.items()} == {
        "views_missing_keyed": "underside"
    }
    assert "views_missing_keyed" not in flags_of(keyed_from="from a paper slip")


def test_the_last_day_of_the_calendar_is_no_trap():
    assert "photo_date_differs" in flags_of(found_on=date.max)


@pytest.mark.parametrize(("waits_s", "missing"), [(0, False), (259_199, False), (259_200, True)])
def test_announced_photos_count_as_here_for_three_days(waits_s: float, missing: bool) -> None:
    awaited = tuple(AwaitedFacts(view, waits_s) for view in ("cap", "underside"))
    assert ("photos_missing" in flags_of(photos=(), awaited=awaited)) is missing


def test_views_that_are_missing_count_announced_photos_too() -> None:
    flag = flags_of(awaited=(AwaitedFacts("side", 0),), photos=())["view_underside_missing"]
    assert flag.numbers == {"photos": 1}


def test_a_photo_that_shows_another_find_s_number_raises_a_doubt_that_names_both():
    flag = flags_of(photos=with_photo(numbers=("BB 12",)), collecting_code="AT", collecting_serial=57)[
        "number_in_frame_differs"
    ]
    assert (flag.severity, flag.subject) == ("doubt", "p1")
    assert flag.sentence == "Photo 1 shows the number BB 12; the find is AT 57."


@pytest.mark.parametrize("seen", [(), ("AT 57",), ("BB 12", "AT 57"), ("TFG 2026-0118",)])
def test_no_number_its_own_or_its_own_among_others_is_none(seen):
    own = {"collecting_code": "AT", "collecting_serial": 57, "accession_number": "TFG 2026-0118"}
    assert "number_in_frame_differs" not in flags_of(photos=with_photo(numbers=seen), **own)


def test_another_packet_s_number_is_held_against_both_numbers_of_the_find():
    own = {"collecting_code": "AT", "collecting_serial": 57, "accession_number": "TFG 2026-0118"}
    flag = flags_of(photos=with_photo(numbers=("TFG 2026-0119",)), **own)["number_in_frame_differs"]
    assert flag.sentence == "Photo 1 shows the number TFG 2026-0119; the find is AT 57, TFG 2026-0118."
