"""Days reckoned from today: "2 weeks ago", "last weekend", "the last 14 days", "Monday", "week 41". Pure.

A week is that of ISO 8601, from Monday on.
"""

import re
from datetime import date, timedelta

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_WORDS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "ten": 10}
_MANY = rf"(?P<many>\d{{1,3}}|{'|'.join(_WORDS)})"
_UNIT = r"(?P<unit>day|week|month|year)s?"
# Farther back nobody reckons in weeks and months.
_MOST_YEARS = 200


def reckoned(text: str, today: date) -> tuple[date, date] | None:
    """First and last day of what is said in small letters, or None where it is nothing of the kind.

    >>> reckoned("2 weeks ago", date(2026, 11, 26))
    (datetime.date(2026, 11, 9), datetime.date(2026, 11, 15))
    >>> reckoned("last 14 days", date(2026, 11, 26))
    (datetime.date(2026, 11, 13), datetime.date(2026, 11, 26))
    """
    if found := re.fullmatch(rf"{_MANY} {_UNIT} ago", text):
        return _whole(today, _number(found["many"]), found["unit"])
    if found := re.fullmatch(rf"(?:last|past) {_MANY} {_UNIT}", text):
        return _up_to(today, _number(found["many"]), found["unit"])
    if found := re.fullmatch(r"(?:(last|this) )?week-?end", text):
        return _weekend(today, found[1] or "last")
    if found := re.fullmatch(rf"(?:on |last )?({'|'.join(WEEKDAYS)})", text):
        return _weekday(today, WEEKDAYS.index(found[1]), is_today_taken=not text.startswith("last"))
    if found := re.fullmatch(r"week (\d{1,2})(?: (?:of )?(\d{4}))?", text):
        return _week(today, int(found[1]), int(found[2]) if found[2] else None)
    return None


def _number(text: str) -> int:
    return _WORDS.get(text) or int(text)


def _whole(today: date, many: int, unit: str) -> tuple[date, date] | None:
    """The day, week, month or year that lies so many of them back."""
    if unit == "day":
        day = today - timedelta(days=many)
        return day, day
    if unit == "week":
        monday = today - timedelta(days=today.weekday() + 7 * many)
        return monday, monday + timedelta(days=6)
    if unit == "month":
        first = _months_back(today, many)
        return first, _months_back(first, -1) - timedelta(days=1)
    if many > _MOST_YEARS:
        return None
    return date(today.year - many, 1, 1), date(today.year - many, 12, 31)


def _up_to(today: date, many: int, unit: str) -> tuple[date, date] | None:
    """So many days, weeks, months or years, of which today is the last day."""
    if not many or (unit == "year" and many > _MOST_YEARS):
        return None
    if unit in ("day", "week"):
        return today - timedelta(days=many * (7 if unit == "week" else 1) - 1), today
    first = _months_back(today, many * (12 if unit == "year" else 1))
    # The 31st of a month that has none is its last day.
    last_of = (_months_back(first, -1) - timedelta(days=1)).day
    return first.replace(day=min(today.day, last_of)) + timedelta(days=1), today


def _months_back(day: date, many: int) -> date:
    """The first of the month so many months back."""
    months = day.year * 12 + day.month - 1 - many
    return date(months // 12, months % 12 + 1, 1)


def _weekend(today: date, which: str) -> tuple[date, date]:
    """This weekend is that of the week that runs, the last one the latest to have begun."""
    saturday = today + timedelta(days=5 - today.weekday())
    if which == "last" and saturday > today:
        saturday -= timedelta(days=7)
    return saturday, saturday + timedelta(days=1)


def _weekday(today: date, weekday: int, *, is_today_taken: bool) -> tuple[date, date]:
    back = (today.weekday() - weekday) % 7
    if not back and not is_today_taken:
        back = 7
    day = today - timedelta(days=back)
    return day, day


def _week(today: date, week: int, year: int | None) -> tuple[date, date] | None:
    """A week of that year; without one, of the latest year in which it has begun."""
    for one in [year] if year else [today.isocalendar().year, today.isocalendar().year - 1]:
        try:
            monday = date.fromisocalendar(one, week, 1)
        except ValueError:
            continue
        if year or monday <= today:
            return monday, monday + timedelta(days=6)
    return None
