"""Dates as people type them into the search box."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.search.days import MONTHS, When, read_days

TODAY = date(2026, 11, 26)
NEAR_A_DATE = st.sampled_from([*"0123456789-./ ", "oct", "2026", "to", "since", "last", "autumn", "and"])
DAYS = st.dates(date(1701, 1, 1), date(2198, 12, 31))


def _days(text: str, **more: bool) -> tuple[date | None, date | None]:
    when = read_days(text, TODAY, **more)
    assert when is not None, text
    return when.first, when.last


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2026", date(2026, 1, 1), date(2026, 12, 31)),
        ("Oct 2026", date(2026, 10, 1), date(2026, 10, 31)),
        ("february 2024", date(2024, 2, 1), date(2024, 2, 29)),
        ("10/2026", date(2026, 10, 1), date(2026, 10, 31)),
        ("3-9 Oct 2026", date(2026, 10, 3), date(2026, 10, 9)),
        ("3–9 Oct 2026", date(2026, 10, 3), date(2026, 10, 9)),
        ("3 to 9 October 2026", date(2026, 10, 3), date(2026, 10, 9)),
        ("3 Oct - 2 Nov 2026", date(2026, 10, 3), date(2026, 11, 2)),
        ("28 Dec - 3 Jan 2026", date(2025, 12, 28), date(2026, 1, 3)),
        ("2024-2026", date(2024, 1, 1), date(2026, 12, 31)),
        ("2026-10-03..2026-10-09", date(2026, 10, 3), date(2026, 10, 9)),
        ("3.10.2026", date(2026, 10, 3), date(2026, 10, 3)),
        ("03/10/2026", date(2026, 10, 3), date(2026, 10, 3)),
        ("3rd Oct 2026", date(2026, 10, 3), date(2026, 10, 3)),
        ("3 Oct", date(2026, 10, 3), date(2026, 10, 3)),
        ("3 Dec", date(2025, 12, 3), date(2025, 12, 3)),
        ("29 Feb", date(2024, 2, 29), date(2024, 2, 29)),
        ("last autumn", date(2025, 9, 1), date(2025, 11, 30)),
        ("this autumn", date(2026, 9, 1), date(2026, 11, 30)),
        ("winter 2025", date(2025, 12, 1), date(2026, 2, 28)),
        ("last winter", date(2025, 12, 1), date(2026, 2, 28)),
        ("yesterday", date(2026, 11, 25), date(2026, 11, 25)),
        ("last week", date(2026, 11, 16), date(2026, 11, 22)),
        ("last month", date(2026, 10, 1), date(2026, 10, 31)),
        ("2 weeks ago", date(2026, 11, 9), date(2026, 11, 15)),
        ("a month ago", date(2026, 10, 1), date(2026, 10, 31)),
        ("three days ago", date(2026, 11, 23), date(2026, 11, 23)),
        ("2 years ago", date(2024, 1, 1), date(2024, 12, 31)),
        ("last 14 days", date(2026, 11, 13), date(2026, 11, 26)),
        ("past 3 months", date(2026, 8, 27), date(2026, 11, 26)),
        ("last weekend", date(2026, 11, 21), date(2026, 11, 22)),
        ("this weekend", date(2026, 11, 28), date(2026, 11, 29)),
        ("Thursday", date(2026, 11, 26), date(2026, 11, 26)),
        ("last Thursday", date(2026, 11, 19), date(2026, 11, 19)),
        ("monday", date(2026, 11, 23), date(2026, 11, 23)),
        ("week 41", date(2026, 10, 5), date(2026, 10, 11)),
        ("week 50", date(2025, 12, 8), date(2025, 12, 14)),
        ("week 1 2026", date(2025, 12, 29), date(2026, 1, 4)),
        ("since 2024", date(2024, 1, 1), None),
        ("after 3 Oct 2026", date(2026, 10, 4), None),
        ("before Oct 2020", None, date(2020, 9, 30)),
        ("until 2020", None, date(2020, 12, 31)),
        ("between 3 Oct 2025 and 2 Nov 2026", date(2025, 10, 3), date(2026, 11, 2)),
    ],
)
def test_a_date_or_a_range_is_read(text: str, first: date | None, last: date | None) -> None:
    assert _days(text) == (first, last)


def test_since_a_stretch_of_days_is_since_the_first_of_them() -> None:
    when = read_days("since last week", TODAY)
    assert when is not None and when.said == "found since 16 November 2026"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2026-0118",
        "31 Feb 2026",
        "2026-13",
        "AT 118",
        "118",
        "3-9",
        "Marchwood",
        "9-3 Oct 2026",
        "13.13.2026",
        "week 54",
        "week 53 2025",
        "0 days",
        "last 0 days",
        "900 years ago",
    ],
)
def test_what_is_no_date_is_none(text: str) -> None:
    assert read_days(text, TODAY) is None


@pytest.mark.parametrize(
    ("text", "months"), [("October", (10,)), ("autumn", (9, 10, 11)), ("nov-feb", (11, 12, 1, 2))]
)
def test_without_a_year_it_is_of_any_year(text: str, months: tuple[int, ...]) -> None:
    when = read_days(text, TODAY)
    assert when is not None and when.months == months and when.first is when.last is None


def test_autumn_is_in_march_south_of_the_equator() -> None:
    assert _days("autumn 2026", southern=True) == (date(2026, 3, 1), date(2026, 5, 31))


@given(DAYS)
def test_a_day_in_any_writing_is_that_day(day: date) -> None:
    month = MONTHS[day.month - 1]
    for text in (
        f"{day:%Y-%m-%d}",
        f"{day.day}.{day.month}.{day.year}",
        f"{day.day} {month} {day.year}",
        f"{day.day} {month[:3]} {day.year}",
    ):
        assert _days(text) == (day, day)


@given(DAYS, st.integers(0, 4000))
def test_a_range_of_two_days_is_that_range(first: date, many: int) -> None:
    last = min(first + timedelta(days=many), date(2199, 12, 31))
    for dash in (" - ", " to ", "..", " – "):
        assert _days(f"{first:%Y-%m-%d}{dash}{last:%Y-%m-%d}") == (first, last)


@given(st.text(max_size=60))
def test_no_text_breaks_it_and_the_first_day_is_never_after_the_last(text: str) -> None:
    when = read_days(text, TODAY)
    assert when is None or isinstance(when, When)
    if when and when.first and when.last:
        assert when.first <= when.last


@given(
    st.lists(
        st.sampled_from([*"0123456789-./ ", "oct", "2026", "to", "since", "last", "autumn", "and"]),
        max_size=12,
    ).map("".join)
)
def test_nothing_near_a_date_breaks_it(text: str) -> None:
    when = read_days(text, TODAY)
    assert when is None or when.said.startswith("found ")
