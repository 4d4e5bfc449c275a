"""Dates and intervals as ISO 8601-1:2019 writes them, read strictly: what is not valid gives None, never a guess.

Read are calendar, ordinal and week dates in the extended form, times to hour, minute or second with or without a zone,
and intervals `start/end` whose end may leave out what it shares with the start. The zone is also read without its
colon, as the BDQ Core data write it. Years have four digits. 24:00 is not read.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone

PRECISIONS = ("year", "month", "day", "hour", "minute", "second")

_DATE = re.compile(r"(\d{4})(?:-(?:(\d{3})|W(\d\d)-([1-7])|(\d\d)(?:-(\d\d))?))?", re.ASCII)
_TIME = re.compile(r"(\d\d)(?::(\d\d)(?::(\d\d)(?:[.,](\d+))?)?)?(Z|[+-]\d\d(?::?\d\d)?)?", re.ASCII)
_LENGTHS = {"hour": timedelta(hours=1), "minute": timedelta(minutes=1), "second": timedelta(0)}


@dataclass(frozen=True, slots=True)
class Moment:
    """One side of an interval, or a whole date: its first day and its last, and the time on it if there is one."""

    first: date
    last: date
    precision: str
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A date or an interval of dates. For a single date start and end are the same."""

    start: Moment
    end: Moment

    @property
    def first(self) -> date:
        return self.start.first

    @property
    def last(self) -> date:
        return self.end.last

    def is_as_fine_as(self, precision: str) -> bool:
        """Whether both ends are told to this precision or finer."""
        coarsest = min(PRECISIONS.index(self.start.precision), PRECISIONS.index(self.end.precision))
        return coarsest >= PRECISIONS.index(precision)

    @property
    def seconds(self) -> int:
        """The length. Days are whole days; a time ends an interval at the moment it names."""
        start = self.start.at or datetime.combine(self.start.first, time.min)
        if self.end.at is None:
            end = datetime.combine(self.end.last, time.min) + timedelta(days=1)
        elif self.start is self.end:
            end = self.end.at + _LENGTHS[self.end.precision]
        else:
            end = self.end.at
        if (start.tzinfo is None) != (end.tzinfo is None):
            start, end = start.replace(tzinfo=None), end.replace(tzinfo=None)
        return round((end - start).total_seconds())


def parse_span(text: str) -> Span | None:
    """A date, date and time, or interval; None where the text is not valid, or ends before it starts."""
    parts = text.strip().split("/")
    start = parse_moment(parts[0])
    if start is None or len(parts) > 2:
        return None
    if len(parts) == 1:
        return Span(start, start)
    end = parse_moment(parts[1]) or parse_moment(_completed(parts[0], parts[1]))
    if end is None or end.last < start.first:
        return None
    span = Span(start, end)
    return None if span.seconds < 0 else span


def parse_moment(text: str) -> Moment | None:
    """A date, with or without a time."""
    day_text, mark, time_text = text.partition("T")
    days = _days(day_text)
    if days is None or not mark:
        return days
    if days.precision != "day" or not (found := _TIME.fullmatch(time_text)):
        return None
    hour, minute, second, _fraction, zone = found.groups()
    try:
        clock = time(int(hour), int(minute or 0), int(second or 0), tzinfo=_zone(zone))
    except ValueError:
        return None
    precision = "second" if second else "minute" if minute else "hour"
    return Moment(days.first, days.last, precision, datetime.combine(days.first, clock))


def _days(text: str) -> Moment | None:
    found = _DATE.fullmatch(text)
    if not found:
        return None
    year, ordinal, week, weekday, month, day = (int(part) if part else None for part in found.groups())
    if not year:  # there is no year 0 in Python's calendar, nor in ours
        return None
    try:
        if ordinal is not None:
            one = date(year, 1, 1) + timedelta(days=ordinal - 1)
            return Moment(one, one, "day") if one.year == year else None
        if week is not None and weekday is not None:
            one = date.fromisocalendar(year, week, weekday)
            return Moment(one, one, "day")
        if month is None:
            return Moment(date(year, 1, 1), date(year, 12, 31), "year")
        if day is None:
            last = date(year, month, calendar.monthrange(year, month)[1])
            return Moment(date(year, month, 1), last, "month")
        one = date(year, month, day)
        return Moment(one, one, "day")
    except (ValueError, OverflowError):
        return None


def _zone(text: str | None) -> timezone | None:
    if not text:
        return None
    if text == "Z":
        return UTC
    digits = text[1:].replace(":", "")
    minutes = int(digits[:2]) * 60 + int(digits[2:] or 0)
    if int(digits[2:] or 0) > 59:
        raise ValueError("minutes of a zone run to 59")
    return timezone(timedelta(minutes=-minutes if text[0] == "-" else minutes))


def _completed(start: str, end: str) -> str:
    """The end of an interval with what it shares with the start put before it: `1880-05-08/10`."""
    day, mark, _ = start.partition("T")
    if mark and "T" not in end and ":" in end:
        return f"{day}T{end}"
    end_day, end_mark, end_clock = end.partition("T")
    shared, own = day.split("-"), end_day.split("-")
    if not end or len(own) >= len(shared):
        return end
    return "-".join([*shared[: len(shared) - len(own)], *own]) + end_mark + end_clock
