"""A date in the words of a label, as ISO 8601-1, where the words allow one reading only.

Months are read by name (English and a few neighbours), by Roman numeral, or by number where the order is plain: the
year first, or full stops between (day first, the custom of labels that use them), or a day above 12.
"""

import re

from ledger.record.iso8601 import parse_span

_MONTH_NAMES = (
    "january jan januar janvier januari gennaio enero janeiro",
    "february feb februar février fevrier februari febbraio febrero fevereiro",
    "march mar mars märz maerz maart marzo março marts",
    "april apr avril aprile abril",
    "may mai maj mei maggio mayo maio",
    "june jun juni juin giugno junio junho",
    "july jul juli juillet luglio julio julho",
    "august aug août aout augusti augustus agosto",
    "september sep sept septembre settembre septiembre setembro",
    "october oct okt oktober octobre ottobre octubre outubro",
    "november nov novembre noviembre novembro",
    "december dec dez dezember décembre decembre dicembre diciembre dezembro desember",
)
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
_MONTHS = {name: index for index, names in enumerate(_MONTH_NAMES, start=1) for name in names.split()}
_MONTHS |= {name: index for index, name in enumerate(_ROMAN, start=1)}
_WEEKDAYS = re.compile(r"^(mon|tues?|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?[.,]?\s+", re.IGNORECASE)
_GAP = r"[\s.,/_-]*"
_MONTH = r"([^\W\d_]+)"
_DAY = r"(\d\d?)(?:st|nd|rd|th)?"
_YEAR = r"(\d{4})"

_DECADE = re.compile(r"(\d{3})0s")
_CHINESE = re.compile(r"(\d{4})年(?:(\d\d?)月(?:(\d\d?)日)?)?")
_YEAR_FIRST = re.compile(r"(\d{4})[-./](\d\d?)[-./](\d\d?)")
_STOPS = re.compile(r"(\d\d?)\.\s?(\d\d?)\.\s?(\d{4})")
_SLASHES = re.compile(r"(\d\d?)[/-](\d\d?)[/-](\d{4})")
_DAY_MONTH_YEAR = re.compile(_DAY + _GAP + _MONTH + _GAP + _YEAR)
_MONTH_DAY_YEAR = re.compile(_MONTH + _GAP + _DAY + r"[\s.,]+" + _YEAR)
_MONTH_YEAR = re.compile(r"(?:x{1,2}[\s.-]+)?" + _MONTH + _GAP + _YEAR, re.IGNORECASE)
_RANGE = re.compile(_DAY + _GAP + _MONTH + r"?[\s.]*[-–][\s.]*" + _DAY + _GAP + _MONTH + _GAP + _YEAR)


def read_date(text: str) -> str | None:
    """The date as ISO 8601-1 writes it; None where the words allow no reading, or two.

    >>> read_date("18/V/1981"), read_date("9.ii-10.iii.2000"), read_date("03/04/2020")
    ('1981-05-18', '2000-02-09/2000-03-10', None)
    """
    words = _WEEKDAYS.sub("", text.strip())
    for attempt in (_iso, _decade, _by_number, _range, _by_name):
        if (read := attempt(words)) is not None:
            return read if parse_span(read) else None
    return None


def _iso(words: str) -> str | None:
    """Already as it should be, down to the day; four digits alone may be anything."""
    return words if "-" in words and parse_span(words) else None


def _decade(words: str) -> str | None:
    found = _DECADE.fullmatch(words)
    return f"{found[1]}0-01-01/{found[1]}9-12-31" if found else None


def _by_number(words: str) -> str | None:
    if found := _CHINESE.fullmatch(words):
        return "-".join(part.zfill(2) for part in found.groups() if part)
    if found := _YEAR_FIRST.fullmatch(words):
        return _written(found[1], int(found[2]), found[3])
    if found := _STOPS.fullmatch(words):
        return _written(found[3], int(found[2]), found[1])
    if found := _SLASHES.fullmatch(words):
        one, two = int(found[1]), int(found[2])
        if one > 12 >= two or one == two:
            return _written(found[3], two, found[1])
        if two > 12 >= one:
            return _written(found[3], one, found[2])
    return None


def _range(words: str) -> str | None:
    found = _RANGE.fullmatch(words)
    if not found:
        return None
    month = _month(found[4])
    first = _month(found[2]) if found[2] else month
    if month is None or first is None:
        return None
    return f"{_written(found[5], first, found[1])}/{_written(found[5], month, found[3])}"


def _by_name(words: str) -> str | None:
    if (found := _DAY_MONTH_YEAR.fullmatch(words)) and (month := _month(found[2])):
        return _written(found[3], month, found[1])
    if (found := _MONTH_DAY_YEAR.fullmatch(words)) and (month := _month(found[1])):
        return _written(found[3], month, found[2])
    if (found := _MONTH_YEAR.fullmatch(words)) and (month := _month(found[1])):
        return f"{found[2]}-{month:02d}"
    return None


def _month(name: str) -> int | None:
    return _MONTHS.get(name.casefold())


def _written(year: str, month: int, day: str) -> str:
    return f"{year}-{month:02d}-{int(day):02d}"
