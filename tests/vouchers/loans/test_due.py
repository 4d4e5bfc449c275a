from datetime import date

import pytest

from vouchers.loans.due import (
    BACK,
    DUE_TODAY,
    OVERDUE,
    RUNNING,
    SOON,
    add_months,
    day_text,
    how_due,
    refused_due,
    usual_due,
)

DUE = date(2027, 5, 2)


@pytest.mark.parametrize(
    ("today", "state", "words"),
    [
        (date(2027, 4, 1), RUNNING, "due in 31 days"),
        (date(2027, 4, 2), SOON, "due in 30 days"),
        (date(2027, 5, 1), SOON, "due in 1 day"),
        (date(2027, 5, 2), DUE_TODAY, "due today"),
        (date(2027, 5, 3), OVERDUE, "overdue by 1 day"),
        (date(2027, 5, 14), OVERDUE, "overdue by 12 days"),
    ],
)
def test_a_loan_that_is_out_says_how_it_stands(today: date, state: str, words: str) -> None:
    due = how_due(DUE, today, is_open=True)
    assert (due.state, due.words) == (state, words)


def test_a_loan_that_is_back_is_never_late() -> None:
    due = how_due(DUE, date(2030, 1, 1), is_open=False)
    assert (due.state, due.words) == (BACK, "")


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        (date(2026, 11, 2), 6, date(2027, 5, 2)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),  # a leap year
        (date(2026, 12, 31), 1, date(2027, 1, 31)),
        (date(2026, 12, 1), 12, date(2027, 12, 1)),
    ],
)
def test_months_later_is_the_same_day_or_the_last_of_the_month(day: date, months: int, later: date) -> None:
    assert add_months(day, months) == later


def test_six_months_are_proposed() -> None:
    assert usual_due(date(2026, 11, 2)) == DUE


@pytest.mark.parametrize("due_on", [date(2026, 11, 2), date(2026, 11, 1), date(1926, 11, 3)])
def test_a_due_date_that_is_not_after_the_lending_is_refused(due_on: date) -> None:
    said = refused_due(due_on, after=date(2026, 11, 2), after_words="the day of lending")
    assert f"{day_text(due_on)} is not after the day of lending, 2 November 2026" in said


def test_a_due_date_in_another_century_is_taken_for_a_slip() -> None:
    assert "more than 5 years after" in refused_due(date(2126, 5, 2), after=DUE, after_words="it")
    assert refused_due(date(2032, 5, 2), after=DUE, after_words="it") == ""
