"""When a loan falls due, and how late it is. Pure: today comes in as an argument."""

from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from ledger.days import day_text
from ledger.words import say, say_n

# [practice.md 6] A loan is made for six months as a rule.
USUAL_MONTHS = 6
# [practice.md 6] As a rule no more than that many specimens go on one loan.
USUAL_PARTS = 20
# Our own judgement: long enough before the day that a parcel can be packed or a longer time be asked for.
SOON_DAYS = 30
# A due date further off is taken for a slip of the pen (our own judgement).
MOST_YEARS = 5

OVERDUE, DUE_TODAY, SOON, RUNNING, BACK = "overdue", "due today", "due soon", "running", "back"


@dataclass(frozen=True, slots=True)
class Due:
    """How a loan stands on a day. `days` are those left, negative where it is late."""

    state: str
    days: int

    @property
    def words(self) -> str:
        """As it stands in a list: `overdue by 12 days`, `due in 3 days`; nothing where all is back."""
        if self.state == BACK:
            return ""
        if self.state == DUE_TODAY:
            return say("due today")
        count = abs(self.days)
        if self.days < 0:
            return say_n("overdue by {n} day", "overdue by {n} days", count)
        return say_n("due in {n} day", "due in {n} days", count)


def how_due(due_on: date, today: date, *, is_open: bool) -> Due:
    """How a loan with that due date stands today. What is due today is not late yet."""
    days = (due_on - today).days
    if not is_open:
        return Due(BACK, days)
    if days < 0:
        return Due(OVERDUE, days)
    if days == 0:
        return Due(DUE_TODAY, days)
    return Due(SOON if days <= SOON_DAYS else RUNNING, days)


def add_months(day: date, months: int) -> date:
    """The same day of a later month; the last of that month where it is shorter.

    >>> add_months(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    count = day.year * 12 + day.month - 1 + months
    year, month = divmod(count, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def usual_due(lent_on: date) -> date:
    """The due date that is proposed for a loan of that day."""
    return add_months(lent_on, USUAL_MONTHS)


def refused_due(due_on: date, *, after: date, after_words: str) -> str:
    """Why that due date cannot stand, or nothing. `after` is the day it must follow, `after_words` what that day is."""
    if due_on <= after:
        return say(
            "The due date {due} is not after {what}, {day}. Nothing was kept of it; enter a later day.",
            due=day_text(due_on),
            what=after_words,
            day=day_text(after),
        )
    last = add_months(after, 12 * MOST_YEARS)
    if due_on > last:
        return say(
            "The due date {due} is more than {years} years after {what}, {day}. Nothing was kept of it; enter a day up to "
            "{last}, and prolong the loan then.",
            due=day_text(due_on),
            years=MOST_YEARS,
            what=after_words,
            day=day_text(after),
            last=day_text(last),
        )
    return ""
