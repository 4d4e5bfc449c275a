"""Dates, times and numbers of a strange table, by the order and the decimal mark that somebody said. Nothing is guessed.
Pure."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, time, timedelta
from decimal import Decimal

from ledger.record.verbatim_date import read_date
from ledger.taking_in.grid import Figure
from ledger.words import later, say

ORDERS: Mapping[str, str] = {
    "ymd": later("year, month, day (2026-10-03)"),
    "dmy": later("day, month, year (3.10.2026)"),
    "mdy": later("month, day, year (10/3/2026)"),
    "ydm": later("year, day, month (2026/3/10)"),
}
POINT, COMMA = "point", "comma"
MARKS: Mapping[str, str] = {POINT: later("a point (12.5)"), COMMA: later("a comma (12,5)")}
_ISO = re.compile(r"(\d{4})-(\d\d)-(\d\d)", re.ASCII)
_BY_NUMBERS = re.compile(r"(\d{1,4})\s*[-./ ]\s*(\d{1,2})\s*[-./ ]\s*(\d{1,4})\.?", re.ASCII)
_WITH_TIME = re.compile(r"(.+?)(?:[T ]\s*(\d{1,2}:\d\d(?::\d\d(?:\.\d+)?)?))", re.ASCII)
_TIME = re.compile(r"(\d{1,2})[:.](\d\d)(?::(\d\d)(?:\.\d+)?)?\s*([ap]\.?m\.?)?", re.IGNORECASE | re.ASCII)
_NUMBER = {
    POINT: re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d{1,3})?|[-+]?\.\d+", re.ASCII),
    COMMA: re.compile(r"[-+]?\d+(?:,\d+)?|[-+]?,\d+", re.ASCII),
}
_POINTED = re.compile(r"[\d.,]*\d\.\d[\d.,]*", re.ASCII)
_LIKE_THOUSANDS = re.compile(r"(?<![\d,])\d{1,3},\d{3}(?![\d,])", re.ASCII)
_MINUS = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u202f": " "})


class CellError(ValueError):
    """What stands in the cell is not what the column holds; the text says why, after the column's name."""


def parted_time(text: str) -> tuple[str, str]:
    """A date with its time, apart: `2026-10-03 14:05` in two."""
    found = _WITH_TIME.fullmatch(text.strip())
    return (found[1].strip(), found[2]) if found else (text.strip(), "")


def needs_order(text: str) -> bool:
    """Whether the date can be read only by an order: figures that do not begin with the year as ISO 8601 does."""
    day, _ = parted_time(text)
    return bool(day) and not _ISO.fullmatch(day) and bool(_BY_NUMBERS.fullmatch(day))


def read_day(text: str, order: str = "") -> date | None:
    """The day, None for an empty cell; CellError. A date as ISO 8601 writes it, or with its month in letters, needs no
    order.

    >>> read_day("03/04/2026", "mdy"), read_day("3 Oct 2026")
    (datetime.date(2026, 3, 4), datetime.date(2026, 10, 3))
    """
    day, _ = parted_time(text)
    if not day:
        return None
    if _ISO.fullmatch(day):
        year, month, number = (int(part) for part in day.split("-"))
        return _date(year, month, number, day)
    found = _BY_NUMBERS.fullmatch(day)
    if found is None:
        spelt = read_date(day)
        if spelt is not None and _ISO.fullmatch(spelt):
            return date.fromisoformat(spelt)
        if re.fullmatch(r"[1-9]\d{4}", day, re.ASCII):
            counted = date(1899, 12, 30) + timedelta(days=int(day))
            raise CellError(
                say(
                    "“{text}” may be the number of a day as a spreadsheet counts them, {day}. Format the column as dates "
                    "there, and save it anew",
                    text=day,
                    day=counted.isoformat(),
                )
            )
        raise CellError(
            say(
                "“{text}” is not read as a whole day. Write it as year-month-day, such as 2026-10-03",
                text=day[:40],
            )
        )
    if not order:
        raise CellError(
            say("“{text}” can be read in several orders. Say which one the file is written in", text=day)
        )
    parts = dict(zip(order, found.groups(), strict=True))
    if len(parts["y"]) != 4:
        short = any(len(part) == 4 for part in found.groups())
        if short:
            raise CellError(
                say("“{text}” does not have its year where it is in {order}", text=day, order=ORDERS[order])
            )
        raise CellError(
            say(
                "“{text}” has a year of {n} figures, so that its century is not told. Write all four",
                text=day,
                n=len(parts["y"]),
            )
        )
    return _date(int(parts["y"]), int(parts["m"]), int(parts["d"]), day)


def _date(year: int, month: int, day: int, said: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise CellError(
            say(
                "“{text}” is no day of the calendar when it is read as year {year}, month {month}, day {day}. See whether "
                "it is a slip, or the order another",
                text=said,
                year=year,
                month=month,
                day=day,
            )
        ) from None


def read_month(text: str) -> str:
    """`2026-09` where a month and its year are told and no day; empty otherwise.

    >>> read_month("Sept 2026"), read_month("3 Sept 2026")
    ('2026-09', '')
    """
    spelt = read_date(text.strip()) or ""
    return spelt if re.fullmatch(r"\d{4}-\d\d", spelt, re.ASCII) else ""


def orders_of(texts: Iterable[str]) -> dict[str, int]:
    """How many of the dates that need an order each order can read; for whoever is asked, not for choosing."""
    counted = dict.fromkeys(ORDERS, 0)
    for text in texts:
        if not needs_order(text):
            continue
        for order in ORDERS:
            try:
                read_day(text, order)
            except CellError:
                continue
            counted[order] += 1
    return counted


def read_clock(text: str) -> time | None:
    """The time of day, None for an empty cell; CellError."""
    text = text.strip()
    if not text:
        return None
    found = _TIME.fullmatch(text)
    if found is None:
        raise CellError(say("“{text}” is not read as a time. Write it as 14:05", text=text[:40]))
    hour, minute, second = int(found[1]), int(found[2]), int(found[3] or 0)
    half = (found[4] or "").lower()[:1]
    if half and not 1 <= hour <= 12:
        raise CellError(say("“{text}” is no time of the day", text=text))
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return time(hour, minute, second)
    except ValueError:
        raise CellError(say("“{text}” is no time of the day", text=text)) from None


def read_number(text: str, mark: str = POINT) -> float | None:
    """The number, None for an empty cell; CellError. A mark between thousands is refused: it may be the decimal one.

    >>> read_number("12,5", "comma"), read_number("-2.25")
    (12.5, -2.25)
    """
    plain = _plain(text)
    if not plain:
        return None
    if not _NUMBER[mark].fullmatch(plain):
        raise CellError(_no_number(text.strip()[:40], plain, mark))
    return float(plain.replace(",", "."))


def measured(text: str, mark: str) -> str:
    """Measurements as the log page reads them, who takes a comma for the decimal mark but where three figures follow it.
    CellError where decimals stand behind a comma and a number has a point: it may part thousands.

    >>> measured("4,5 5,5", "comma"), measured("12,125 cm", "comma"), measured("12,125", "point")
    ('4,5 5,5', '12.125 cm', '12,125')
    """
    if mark != COMMA:
        return text
    pointed = _POINTED.search(text)
    if pointed is not None:
        raise CellError(_no_number(pointed[0][:40], pointed[0], mark))
    # As it stands wherever that can be read, so that what is wrong with it is told as it stands too.
    return re.sub(r"(?<=\d),(?=\d)", ".", text) if _LIKE_THOUSANDS.search(text) else text


def last_digit(text: str) -> float:
    """What one of the last digit is of a number that is read, with the zeros at its end as they stand.

    >>> last_digit("51,5200"), last_digit("-2.5")
    (0.0001, 0.1)
    """
    exponent = Decimal(_plain(text).replace(",", ".")).as_tuple().exponent
    return float(Decimal(1).scaleb(int(exponent)))


def mark_of(text: str, mark: str) -> str:
    """The decimal mark of a cell, where `mark` is that of the file's texts."""
    return POINT if isinstance(text, Figure) else mark or POINT


def _plain(text: str) -> str:
    return text.translate(_MINUS).strip().replace(" ", "")


def _no_number(text: str, plain: str, mark: str) -> str:
    other = COMMA if mark == POINT else POINT
    if _NUMBER[other].fullmatch(plain):
        return say(
            "“{text}” is no number, where decimals stand behind {mark}; behind a comma it would be one"
            if other == COMMA
            else "“{text}” is no number, where decimals stand behind {mark}; behind a point it would be one",
            text=text,
            mark=MARKS[mark],
        )
    if re.fullmatch(r"[-+]?\d{1,3}(?:[.,']\d{3})+(?:[.,]\d+)?", plain):
        return say(
            "“{text}” is no number, where decimals stand behind {mark}. Write it without a mark between thousands",
            text=text,
            mark=MARKS[mark],
        )
    return say("“{text}” is no number, where decimals stand behind {mark}", text=text, mark=MARKS[mark])


def decimal_marks(texts: Sequence[str]) -> set[str]:
    """Which marks the numbers with decimals are written with: both, where a file mixes them."""
    seen = set()
    for text in texts:
        plain = text.translate(_MINUS).strip()
        if re.fullmatch(r"[-+]?\d*,\d+", plain):
            seen.add(COMMA)
        elif re.fullmatch(r"[-+]?\d*\.\d+", plain):
            seen.add(POINT)
    return seen
