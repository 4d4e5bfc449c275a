"""Days as people type them into a search: a day, a month, a year, a season, a range of any of these. Pure.

Whatever is read is said back in words. Numbers alone are read with the day first, as the ledger writes them.
"""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import MINYEAR, date, timedelta

from ledger.days import day_text, month_text
from ledger.search.days_ago import reckoned
from ledger.search.german import as_english
from ledger.words import Said, later, say

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
# Most words that one date takes: "between 3 October 2025 and 2 November 2026".
LONGEST = 8
FIRST_YEAR, LAST_YEAR = 1700, 2199

_SEASONS = {
    "spring": (3, 4, 5),
    "summer": (6, 7, 8),
    "autumn": (9, 10, 11),
    "fall": (9, 10, 11),
    "winter": (12, 1, 2),
}
_SEASON_WORDS = {
    "spring": later("spring"),
    "summer": later("summer"),
    "autumn": later("autumn"),
    "fall": later("fall"),
    "winter": later("winter"),
}
_OPPOSITE = {"spring": "autumn", "summer": "winter", "autumn": "spring", "fall": "spring", "winter": "summer"}
_DASH = re.compile(r"\s*(?:[–—‒−]|\.\.+)\s*")
_NAMED = r"(?P<{0}>[a-z]{{3,9}})\.?"


@dataclass(frozen=True, slots=True)
class When:
    """Days from `first` to `last`, both included, either open; and where `months` is filled, only those months."""

    said: str
    first: date | None = None
    last: date | None = None
    months: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Span:
    """A stretch of days with no gap. `said`: that a find is of them; `bare`: its beginning, as "since" has it."""

    first: date
    last: date
    said: Said
    bare: Said


def read_days(text: str, today: date, *, southern: bool = False) -> When | None:
    """The days meant by the whole of *text*, or None where it is no date.

    `southern`: the club lies south of the equator, where autumn is in March.
    """
    line = as_english(" ".join(_DASH.sub(" - ", text.casefold()).replace(",", " ").split()))
    if not line:
        return None
    return (
        _every_year(line, southern)
        or _open_ended(line, today, southern)
        or _between(line, today, southern)
        or _plain(_span(line, today, southern))
    )


def _plain(span: _Span | None) -> When | None:
    return When(span.said, span.first, span.last) if span else None


def _every_year(line: str, southern: bool) -> When | None:
    """A month or a season without a year is that of every year."""
    month = _month(line)
    if month:
        return When(say("found in {month} of any year", month=month_text(month)), months=(month,))
    if line in _SEASONS:
        said = say("found in {season} of any year", season=_SEASON_WORDS[line])
        return When(said, months=_season(line, southern))
    ends = [_month(part) for part in re.split(r" - | to |-", line)]
    if len(ends) == 2 and ends[0] and ends[1]:
        first, last = ends
        months = tuple((first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1))
        said = say("found from {first} to {last} of any year", first=month_text(first), last=month_text(last))
        return When(said, months=months)
    return None


def _open_ended(line: str, today: date, southern: bool) -> When | None:
    found = re.fullmatch(r"(since|from|after|before|until|till|up to) (.+)", line)
    span = _span(found[2], today, southern) if found else None
    if found is None or span is None:
        return None
    word = found[1]
    if word in ("since", "from"):
        return When(say("found since {when}", when=span.bare), first=span.first)
    if word == "after":
        said = say("found after {day}", day=day_text(span.last))
        return When(said, first=span.last + timedelta(days=1))
    if word == "before":
        before = span.first - timedelta(days=1) if span.first > date.min else span.first
        return When(say("found before {day}", day=day_text(span.first)), last=before)
    return When(say("found up to {day}", day=day_text(span.last)), last=span.last)


def _between(line: str, today: date, southern: bool) -> When | None:
    """Two dates with a dash, "to" or "and" between; the first takes month and year from the second where it has none."""
    line = re.sub(r"^(?:between|from) ", "", line)
    # The dashes within 2026-10-03 are no dashes between two dates.
    for parted in re.finditer(r" - | to | and |(?<=[a-z])-(?=[a-z0-9])|(?<=\d)-(?=\d)", line):
        first_text, last_text = line[: parted.start()].strip(), line[parted.end() :].strip()
        last = _span(last_text, today, southern)
        if last is None:
            continue
        first = _span(first_text, today, southern) or _completed(first_text, last, today)
        if first is None:
            continue
        # A day of a month without a year goes with the year behind: 3 Oct - 2 Nov 2025.
        if re.search(r"\d{4}", first_text) is None and re.search(r"\d{4}", last_text):
            first = _completed(first_text, last, today) or first
        if first.first > last.last:
            continue
        if (
            re.fullmatch(r"\d{1,3}", first_text)
            and parted.group() == "-"
            and not re.search(r"[a-z]|\d{4}", last_text)
        ):
            continue
        return When(_found_from(first.first, last.last), first.first, last.last)
    return None


def _completed(text: str, last: _Span, today: date) -> _Span | None:
    """ "3" before "9 Oct 2026", "3 Oct" or "Oct" before "2 Nov 2026"."""
    if re.fullmatch(r"\d{1,2}", text):
        return _of_day(last.last.year, last.last.month, int(text)) if last.first == last.last else None
    year = last.last.year
    span = _span(f"{text} {year}", today, False)
    if span is not None and span.first > last.last and year > MINYEAR:
        span = _span(f"{text} {year - 1}", today, False)
    return span


def _span(text: str, today: date, southern: bool) -> _Span | None:
    return _spoken(text, today, southern) or _in_numbers(text) or _in_words(text, today)


def _spoken(text: str, today: date, southern: bool) -> _Span | None:
    monday = today - timedelta(days=today.weekday())
    last_of_month = today.replace(day=1) - timedelta(days=1)
    spans = {
        "today": (today, today),
        "yesterday": (today - timedelta(days=1), today - timedelta(days=1)),
        "this week": (monday, monday + timedelta(days=6)),
        "last week": (monday - timedelta(days=7), monday - timedelta(days=1)),
        "this month": (today.replace(day=1), _end(today.year, today.month)),
        "last month": (last_of_month.replace(day=1), last_of_month),
        "this year": (date(today.year, 1, 1), date(today.year, 12, 31)),
        "last year": (date(today.year - 1, 1, 1), date(today.year - 1, 12, 31)),
    }
    if span := spans.get(text) or reckoned(text, today):
        first, last = span
        return _one_day(first) if first == last else _days(first, last)
    found = re.fullmatch(r"(?:(this|last) )?(spring|summer|autumn|fall|winter)(?: (\d{4}))?", text)
    if found is None or bool(found[1]) == bool(found[3]):
        return None
    months = _season(found[2], southern)
    if found[3]:
        year = int(found[3])
        if not FIRST_YEAR <= year <= LAST_YEAR:
            return None
    else:
        # "Last autumn" is the latest that is over; "this" the one that runs or is the latest to have begun.
        year = next(
            one
            for one in range(today.year + 1, today.year - 3, -1)
            if (
                _season_days(one, months)[1] < today
                if found[1] == "last"
                else _season_days(one, months)[0] <= today
            )
        )
    first, last = _season_days(year, months)
    return _days(first, last)


def _season_days(year: int, months: tuple[int, ...]) -> tuple[date, date]:
    """A winter is that of the year in which it begins."""
    end_year = year + 1 if months[-1] < months[0] else year
    return date(year, months[0], 1), _end(end_year, months[-1])


def _in_numbers(text: str) -> _Span | None:
    """2026; 2026-10; 10/2026; 2026-10-03; 3.10.2026; 3/10/2026, with the day first."""
    if found := re.fullmatch(r"(\d{4})", text):
        return _of_year(int(found[1]))
    if found := re.fullmatch(r"(\d{4})[-/.](\d{1,2})", text):
        return _of_month(int(found[1]), int(found[2]))
    if found := re.fullmatch(r"(\d{1,2})[-/.](\d{4})", text):
        return _of_month(int(found[2]), int(found[1]))
    if found := re.fullmatch(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})", text):
        return _of_day(int(found[1]), int(found[3]), int(found[4]))
    if found := re.fullmatch(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})", text):
        return _of_day(int(found[4]), int(found[3]), int(found[1]))
    return None


def _in_words(text: str, today: date) -> _Span | None:
    """Oct 2026; 3 Oct 2026; Oct 3 2026; 3 Oct, which is the latest there was."""
    if found := re.fullmatch(rf"{_NAMED.format('month')}[ -](?P<year>\d{{4}})", text):
        return _of_month(int(found["year"]), _month(found["month"]))
    day = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?"
    month = _NAMED.format("month")
    found = re.fullmatch(rf"{day}[ -]?{month}(?:[ -](?P<year>\d{{4}}))?", text) or re.fullmatch(
        rf"{month} {day}(?: (?P<year>\d{{4}}))?", text
    )
    if found is None or not _month(found["month"]):
        return None
    number, of_month = int(found["day"]), _month(found["month"])
    if found["year"]:
        return _of_day(int(found["year"]), of_month, number)
    for year in range(today.year, today.year - 5, -1):
        span = _of_day(year, of_month, number)
        if span is not None and span.first <= today:
            return span
    return None


def _month(text: str) -> int:
    """The number of a month by its name or its first three letters or more; 0 where it is none. "May" is one too."""
    word = text.rstrip(".")
    if len(word) < 3:
        return 0
    if word == "sept":
        return 9
    return next((number for number, name in enumerate(MONTHS, 1) if _is_short_for(word, name.casefold())), 0)


def _is_short_for(word: str, name: str) -> bool:
    # "Octo" is none: three letters or the whole, so that a place called Marchwood stays one.
    return word == name or word == name[:3]


def _of_year(year: int) -> _Span | None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    said = say("found in {year}", year=year)
    return _Span(date(year, 1, 1), date(year, 12, 31), said, Said(str(year)))


def _of_month(year: int, month: int) -> _Span | None:
    if not (FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12):
        return None
    name = month_text(month)
    said = say("found in {month} {year}", month=name, year=year)
    return _Span(date(year, month, 1), _end(year, month), said, say("{month} {year}", month=name, year=year))


def _of_day(year: int, month: int, day: int) -> _Span | None:
    if not (FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12 and 1 <= day <= monthrange(year, month)[1]):
        return None
    return _one_day(date(year, month, day))


def _one_day(day: date) -> _Span:
    return _Span(day, day, say("found on {day}", day=day_text(day)), day_text(day))


def _days(first: date, last: date) -> _Span:
    return _Span(first, last, _found_from(first, last), day_text(first))


def _found_from(first: date, last: date) -> Said:
    return say("found from {first} to {last}", first=day_text(first), last=day_text(last))


def _end(year: int, month: int) -> date:
    return date(year, month, monthrange(year, month)[1])


def _season(word: str, southern: bool) -> tuple[int, ...]:
    return _SEASONS[_OPPOSITE[word] if southern else word]
