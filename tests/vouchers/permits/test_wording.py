"""A permit in one line, and its dates against the day of a find."""

from datetime import date

import pytest

from vouchers.permits.wording import (
    KEPT_BACK,
    NO_PERMISSION,
    PermitText,
    beyond_dates,
    dates_text,
    permission_line,
)

ESTATE = PermitText("Hollin Estate", "HE 12", "the club", date(2026, 4, 1), date(2027, 3, 31))
DAY = date(2026, 10, 3)


@pytest.mark.parametrize(
    ("begins", "ends", "text"),
    [
        (date(2026, 4, 1), date(2027, 3, 31), "1 Apr 2026 to 31 Mar 2027"),
        (date(2026, 4, 1), None, "from 1 Apr 2026, no end said"),
        (None, date(2027, 3, 31), "until 31 Mar 2027"),
        (None, None, "no dates said"),
    ],
)
def test_dates_with_open_ends(begins: date | None, ends: date | None, text: str):
    assert dates_text(begins, ends) == text


@pytest.mark.parametrize("day", [date(2026, 4, 1), DAY, date(2027, 3, 31)])
def test_both_days_of_the_ends_are_within(day: date):
    assert beyond_dates(ESTATE, day) == ""


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 3, 31), "found on 31 Mar 2026, before it began on 1 Apr 2026"),
        (date(2027, 4, 1), "found on 1 Apr 2027, after it ended on 31 Mar 2027"),
        (None, "the day of the find is not known"),
    ],
)
def test_a_day_beyond_is_told_with_both_days(day: date | None, said: str):
    assert said in beyond_dates(ESTATE, day)


def test_the_day_of_a_foray_is_the_one_it_was_held_on():
    told = beyond_dates(ESTATE, date(2026, 3, 31), of_foray=True)
    assert told == "held on 31 Mar 2026, before it began on 1 Apr 2026"
    assert beyond_dates(ESTATE, date(2027, 4, 1), of_foray=True).startswith("held on 1 Apr 2027, after")


def test_a_permit_without_dates_tells_nothing_of_any_day():
    assert beyond_dates(PermitText("Owner", "", "the club", None, None), None) == ""


def test_one_line_names_giver_reference_holder_and_dates():
    line = "Hollin Estate, HE 12, held by the club, 1 Apr 2026 to 31 Mar 2027"
    assert permission_line([ESTATE], DAY) == line
    assert (
        permission_line([ESTATE], date(2028, 1, 1))
        == f"{line} (found on 1 Jan 2028, after it ended on 31 Mar 2027)"
    )


def test_without_any_the_line_says_so_and_written_words_stand_in_for_a_permit():
    assert permission_line([], DAY) == NO_PERMISSION
    assert permission_line([], DAY, written="  ") == NO_PERMISSION
    assert permission_line([], DAY, written="asked at the\nlodge") == "asked at the lodge"


def test_a_place_kept_back_names_no_owner_and_hides_no_want_of_one():
    assert permission_line([ESTATE], DAY, kept_back=True) == KEPT_BACK
    assert permission_line([], DAY, written="Hollin Estate", kept_back=True) == KEPT_BACK
    assert permission_line([], DAY, kept_back=True) == NO_PERMISSION
