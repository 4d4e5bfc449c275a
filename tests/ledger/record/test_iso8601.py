from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.record.iso8601 import parse_span


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        # Published examples of dwc:eventDate, Darwin Core list of terms 2026-05-26 (TDWG, CC BY 4.0).
        ("1963-03-08T14:07-06:00", date(1963, 3, 8), date(1963, 3, 8)),
        ("2009-02-20T08:40Z", date(2009, 2, 20), date(2009, 2, 20)),
        ("2018-08-29T15:19", date(2018, 8, 29), date(2018, 8, 29)),
        ("1809-02-12", date(1809, 2, 12), date(1809, 2, 12)),
        ("1906-06", date(1906, 6, 1), date(1906, 6, 30)),
        ("1971", date(1971, 1, 1), date(1971, 12, 31)),
        ("2007-03-01T13:00:00Z/2008-05-11T15:30:00Z", date(2007, 3, 1), date(2008, 5, 11)),
        ("1900/1909", date(1900, 1, 1), date(1909, 12, 31)),
        ("2007-11-13/15", date(2007, 11, 13), date(2007, 11, 15)),
        # Other forms of ISO 8601-1.
        ("2024-366", date(2024, 12, 31), date(2024, 12, 31)),
        ("2026-W53-5", date(2027, 1, 1), date(2027, 1, 1)),
        ("9999-12", date(9999, 12, 1), date(9999, 12, 31)),
    ],
)
def test_a_valid_date_is_read_to_its_first_and_last_day(text, first, last):
    span = parse_span(text)
    assert (span.first, span.last) == (first, last)


@pytest.mark.parametrize(
    "text",
    ["", "63", "0000", "2023-02-29", "2023-366", "2021-13", "2021-1-2", "20210102", "2021-02-30T10",
     "2021-02-03T25", "2021-02-03T14:60", "2021-02-03T14:07+01:75", "2021-02-03T24:00", "2021-02T10",
     "2021-02-03/2021-02-01", "2021/2022/2023", "2021-02-03/", "/2021", "1963-03-08X14:07"],
)  # fmt: skip
def test_what_is_not_valid_is_none_and_never_a_guess(text):
    assert parse_span(text) is None


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2024", 366 * 86_400),
        ("2026-02", 28 * 86_400),
        ("1880-05-08/10", 3 * 86_400),
        ("2026-01-01T10:00", 60),
        ("2026-01-01T10", 3600),
        ("2026-01-01T10:00:00", 0),
        ("2026-01-01T10:00/12:30", 9000),
        ("2026-01-01T10:00Z/2026-01-01T10:00-02:00", 7200),
    ],
)
def test_the_length_is_counted_in_seconds(text, seconds):
    assert parse_span(text).seconds == seconds


@given(st.dates(), st.dates())
def test_two_days_make_an_interval_if_they_are_in_order(one, two):
    span = parse_span(f"{one.isoformat()}/{two.isoformat()}")
    assert (span is not None) == (one <= two)
    if span:
        assert (span.first, span.last) == (one, two)


@given(st.text(alphabet="0123456789-/T:Z+W.,", max_size=24))
def test_any_row_of_marks_is_read_or_refused_without_an_error(text):
    span = parse_span(text)
    assert span is None or span.first <= span.last
