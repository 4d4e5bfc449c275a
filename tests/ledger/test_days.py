"""Days and moments in words, and that nobody else writes them."""

import re
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.utils import timezone

from ledger import days, moments

ROOT = Path(__file__).resolve().parents[2]
# Half an hour before midnight in UTC is half past midnight of the next day in a British summer.
LATE = datetime(2026, 6, 30, 23, 30, tzinfo=UTC)
BARE = re.compile(r"%-?d %[Bb]|\.day\}? \{")


def test_a_day_is_told_long_and_short():
    day = date(2026, 10, 3)
    assert (days.day_text(day), days.short_day_text(day)) == ("3 October 2026", "3 Oct 2026")
    assert days.short_day_text(None) == ""


def test_a_time_stands_after_its_day():
    at = datetime(2026, 10, 3, 8, 5)  # noqa: DTZ001
    assert (days.time_text(at), days.short_time_text(at)) == ("3 October 2026, 08:05", "3 Oct 2026, 08:05")


def test_a_moment_is_told_in_the_ledger_s_own_time():
    with timezone.override("Europe/London"):
        assert moments.day_of(LATE) == "1 July 2026"
        assert moments.short_day_of(LATE) == "1 Jul 2026"
        assert moments.moment_text(LATE) == "1 July 2026, 00:30"


@pytest.mark.parametrize("tell", [days.day_text, days.short_day_text])
def test_a_moment_is_not_taken_for_a_day(tell):
    with pytest.raises(TypeError, match="tells the ledger"):
        tell(LATE)


def test_a_day_is_written_out_in_one_home_only():
    wrong = [
        f"{path.relative_to(ROOT)}:{number}"
        for room in ("ledger", "vouchers")
        for path in sorted((ROOT / room).rglob("*.py"))
        if path != ROOT / "ledger/days.py"
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if BARE.search(line) and "input_formats" not in line
    ]
    assert wrong == []
