"""Which backups stay."""

from datetime import UTC, datetime, timedelta

from ledger.backup.retention import Keep, staying

NOW = datetime(2026, 11, 26, 2, tzinfo=UTC)
NIGHTS = [NOW - timedelta(days=days) for days in range(400)]


def days_ago(stay: set[datetime]) -> list[int]:
    return sorted((NOW - moment).days for moment in stay)


def test_the_newest_then_one_a_week_then_one_a_month_stay() -> None:
    # 26 November 2026 is a Thursday: earlier weeks' last nights are Sundays, 4, 11, 18 days before.
    assert days_ago(staying(NIGHTS, Keep(newest=3, weekly=3, monthly=3))) == [0, 1, 2, 4, 11, 26, 57]


def test_the_newest_stays_whatever_was_asked() -> None:
    assert staying(NIGHTS, Keep(0, 0, 0)) == {NOW}


def test_of_no_backups_none_stays() -> None:
    assert staying([], Keep()) == set()


def test_weeks_without_a_backup_do_not_count() -> None:
    moments = [NOW, NOW - timedelta(days=70), NOW - timedelta(days=140)]
    assert staying(moments, Keep(1, 3, 0)) == set(moments)


def test_a_backup_a_night_for_a_year_leaves_at_most_the_sum() -> None:
    assert len(staying(NIGHTS, Keep())) <= 7 + 5 + 12
