from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from ledger.record.flags import fingerprint
from tests.ledger.record.cases import LIMITS, flags_of


def test_a_find_of_today_is_no_find_of_the_future():
    assert "date_future" not in flags_of(found_on=date(2026, 10, 5), photos=())


def test_a_find_of_tomorrow_stops_and_names_both_dates():
    flag = flags_of(found_on=date(2026, 10, 6), photos=())["date_future"]
    assert flag.severity == "stop"
    # The sentence is read later as well, so it says which day it means.
    assert "6 October 2026, 1 day ahead of 5 October 2026, the day this date was entered" in flag.sentence


def test_a_settled_future_date_does_not_come_back_because_a_day_has_passed():
    first = flags_of(found_on=date(2026, 10, 9), photos=())["date_future"]
    later = flags_of(found_on=date(2026, 10, 9), today=date(2026, 10, 6), photos=())["date_future"]
    assert first.sentence != later.sentence
    assert fingerprint(first) == fingerprint(later)


def test_no_date_is_missing_and_says_how_many_photos_have_one():
    assert flags_of(found_on=None)["date_missing"].numbers == {"photos": 2}


def test_a_date_before_the_gregorian_calendar_is_too_early():
    assert "date_too_early" in flags_of(found_on=date(1582, 11, 14), photos=())
    assert "date_too_early" not in flags_of(found_on=date(1582, 11, 15), photos=())


def test_a_club_can_draw_the_first_day_closer():
    limits = replace(LIMITS, earliest_found_on=date(1998, 4, 1))
    assert "date_too_early" in flags_of(limits, found_on=date(1998, 3, 31), photos=())


@pytest.mark.parametrize("off", [None, 0, 3_600, -3_600])
def test_a_clock_off_by_no_more_than_an_hour_is_not_flagged(off: int | None) -> None:
    assert not {"clock_off", "clock_far_off"} & set(flags_of(clock_off_s=off))


@pytest.mark.parametrize(
    ("off", "code", "said"),
    [
        (3_601, "clock_off", "1 h ahead"),
        (-43_200, "clock_off", "12 h behind"),
        (43_201, "clock_far_off", "12 h ahead"),
        (-315_576_000, "clock_far_off", "10 years behind"),
    ],
)
def test_a_clock_further_off_is_flagged_with_how_far(off: int, code: str, said: str) -> None:
    assert said in flags_of(clock_off_s=off)[code].sentence


ARRIVED = datetime(2026, 10, 3, 18, 0, tzinfo=UTC)
TEN_YEARS = 315_576_000


def clock_codes(off_s: int, begun_at: datetime, **changes: object) -> set[str]:
    flags = flags_of(clock_off_s=off_s, begun_at=begun_at, arrived_at=ARRIVED, **changes)
    return {"clock_off", "clock_far_off"} & set(flags)


def test_a_clock_set_wrong_only_after_the_form_was_opened_says_nothing_of_the_find() -> None:
    assert clock_codes(-TEN_YEARS, ARRIVED - timedelta(hours=3)) == set()


def test_a_clock_that_ran_ahead_only_at_sending_is_a_note() -> None:
    assert clock_codes(TEN_YEARS, ARRIVED - timedelta(hours=3)) == {"clock_off"}


def test_a_clock_that_was_behind_when_the_day_was_filled_in_is_a_doubt() -> None:
    begun = ARRIVED - timedelta(seconds=TEN_YEARS, hours=3)
    assert clock_codes(-TEN_YEARS, begun, found_on=begun.date()) == {"clock_far_off"}


def test_a_day_that_was_typed_over_a_wrong_clock_is_a_note() -> None:
    assert clock_codes(-TEN_YEARS, ARRIVED - timedelta(seconds=TEN_YEARS, hours=3)) == {"clock_off"}


def test_a_clock_put_right_before_sending_is_told_by_the_form_it_opened() -> None:
    begun = ARRIVED + timedelta(days=40)
    flag = flags_of(clock_off_s=0, begun_at=begun, arrived_at=ARRIVED, found_on=begun.date())["clock_far_off"]
    assert "When it was begun, the phone's clock was 40 days ahead" in flag.sentence


def test_a_day_amended_since_is_no_clocks_day() -> None:
    begun = ARRIVED - timedelta(seconds=TEN_YEARS, hours=3)
    assert clock_codes(-TEN_YEARS, begun, found_on=begun.date(), day_amended=True) == set()


def test_a_name_of_a_day_before_the_find_is_doubted_with_both_days() -> None:
    flag = flags_of(named_on=date(2016, 10, 2))["named_before_found"]
    assert flag.severity == "doubt"
    assert "2 October 2016, before the day of the find, 3 October 2026" in flag.sentence


@pytest.mark.parametrize("named_on", [None, date(2026, 10, 3), date(2026, 10, 9)])
def test_a_name_of_the_same_day_or_later_is_not(named_on: date | None) -> None:
    assert "named_before_found" not in flags_of(named_on=named_on)


def test_a_find_of_a_day_to_come_is_not_doubted_for_its_name_too() -> None:
    assert "named_before_found" not in flags_of(found_on=date(2026, 10, 9), named_on=date(2026, 10, 5))
