"""A photo of a clock: the shift, and its words."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.photos.clock import MOST_OFF, ClockRefused, said, shift_of

CAMERA = datetime.fromisoformat("2019-01-01T00:14:09")
MOMENTS = st.datetimes(datetime.fromisoformat("2000-01-01"), datetime.fromisoformat("2025-01-01"))


@given(MOMENTS, MOMENTS)
def test_the_shift_brings_the_camera_to_what_the_clock_shows(shown: datetime, camera: datetime) -> None:
    assert camera + shift_of(shown, camera) == shown


def test_a_year_that_was_misread_is_refused() -> None:
    with pytest.raises(ClockRefused, match="look at the year again"):
        shift_of(CAMERA + MOST_OFF + timedelta(days=1), CAMERA)


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (timedelta(0), "right to the second"),
        (timedelta(hours=1, minutes=3), "1 h 3 min behind"),
        (-timedelta(hours=1), "1 h ahead"),
        (timedelta(days=365 * 7 + 40, hours=2), "7 years 40 days behind"),
        (-timedelta(days=1, seconds=5), "1 day 5 s ahead"),
    ],
)
def test_the_shift_is_said_in_words(shift: timedelta, words: str) -> None:
    assert said(shift) == words


def test_a_clock_shows_no_time_after_the_photo_came_wherever_on_earth():
    came = datetime(2026, 10, 3, 12, 0, tzinfo=UTC)
    assert shift_of(datetime.fromisoformat("2026-10-04T01:59"), CAMERA, came_at=came)
    with pytest.raises(
        ClockRefused, match="4 October 2026, 02:01 is after the photo came to the ledger, 3 October 2026"
    ):
        shift_of(datetime.fromisoformat("2026-10-04T02:01"), CAMERA, came_at=came)
