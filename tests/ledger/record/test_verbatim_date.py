import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.record.iso8601 import parse_span
from ledger.record.verbatim_date import read_date


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("3 Oct 2026", "2026-10-03"),
        ("October 3rd, 2026", "2026-10-03"),
        ("Sat 3 octobre 2026", "2026-10-03"),
        ("3.x.2026", "2026-10-03"),
        ("25/12/2026", "2026-12-25"),
        ("12/25/2026", "2026-12-25"),
        ("5/5/2026", "2026-05-05"),
        ("3.10.2026", "2026-10-03"),
        ("3-5 Oct 2026", "2026-10-03/2026-10-05"),
        ("2026-10-03", "2026-10-03"),
        ("1990s", "1990-01-01/1999-12-31"),
        ("Sept 2026", "2026-09"),
    ],
)
def test_words_with_one_reading_are_read(words, read):
    assert read_date(words) == read


@pytest.mark.parametrize(
    "words",
    [
        "3/4/2026",
        "4-3-2026",
        "0377",
        "2026",
        "31 Feb 2026",
        "Smarch 2026",
        "3 Oct 26",
        "5-3 Oct 2026",
        "x",
        "",
    ],
)
def test_words_with_two_readings_or_none_are_left(words):
    assert read_date(words) is None


@given(st.text(max_size=30))
def test_whatever_is_read_is_a_valid_date(words):
    read = read_date(words)
    assert read is None or parse_span(read) is not None
