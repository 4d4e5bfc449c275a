"""The drawing of a season: finds by week as bars, with the months that the sources document above them. Pure.

Places are in per cent of the frame, y downwards, so that letters keep the reader's size whatever its width.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from ledger.days import short_month_text

WEEKS = 53
MONTHS = tuple(short_month_text(month) for month in range(1, 13))
# A year of 366 days, so that the last week has its place.
_LEAP = 2024
_DAYS = 366
SHADES = 4


@dataclass(frozen=True, slots=True)
class Bar:
    week: int
    n: int
    x: float
    width: float
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class Month:
    """`sources` of `of` document it; `shade` 0 to SHADES says how many of them."""

    name: str
    x: float
    width: float
    sources: int
    of: int
    shade: int

    @property
    def letter(self) -> str:
        return self.name[0]


@dataclass(frozen=True, slots=True)
class Season:
    bars: tuple[Bar, ...]
    months: tuple[Month, ...]
    most: int
    n: int


def looked(weeks: Iterable[int]) -> tuple[Bar, ...]:
    """A mark under each of the weeks, for those in which anybody looked."""
    wide = 100 / WEEKS
    return tuple(
        Bar(week, 0, round((week - 1) * wide, 3), round(wide, 3), 0.0, 100.0) for week in sorted(weeks)
    )


def draw(weeks: Mapping[int, int], documented: Sequence[tuple[int, int]]) -> Season:
    """`weeks`: ISO week to finds. `documented`: first and last month of each source, 11 to 2 going over the new year."""
    most = max(weeks.values(), default=0)
    bars = tuple(
        Bar(
            week,
            n,
            x=round((week - 1) * 100 / WEEKS, 3),
            width=round(100 / WEEKS, 3),
            y=round(100 - 96 * n / most, 3),
            height=round(96 * n / most, 3),
        )
        for week, n in sorted(weeks.items())
    )
    return Season(
        bars, tuple(_month(number, documented) for number in range(1, 13)), most, sum(weeks.values())
    )


def holds(first: int, last: int, month: int) -> bool:
    """Whether a month lies in a season, which may go over the new year.

    >>> holds(11, 2, 1), holds(11, 2, 3), holds(6, 10, 10)
    (True, False, True)
    """
    return first <= month <= last if first <= last else month >= first or month <= last


def middle_months(weeks: Mapping[int, int], share: float = 0.05) -> tuple[int, int] | None:
    """First and last month of the weeks between the 5 % and the 95 % of the finds; None where there are none."""
    n = sum(weeks.values())
    if not n:
        return None
    seen, first, last = 0, None, 1
    for week, here in sorted(weeks.items()):
        seen += here
        if first is None and seen > n * share:
            first = week
        last = week
        if seen >= n * (1 - share):
            break
    return month_of(first or 1), month_of(last)


def month_of(week: int) -> int:
    """The month in which the Thursday of that ISO week lies, in a year that begins on a Monday.

    >>> month_of(1), month_of(40), month_of(53)
    (1, 10, 12)
    """
    day = min((week - 1) * 7 + 4, 365)
    return date.fromordinal(date(2018, 1, 1).toordinal() + day - 1).month


def _month(number: int, documented: Sequence[tuple[int, int]]) -> Month:
    first = date(_LEAP, number, 1).timetuple().tm_yday - 1
    end = date(_LEAP, number + 1, 1).timetuple().tm_yday - 1 if number < 12 else _DAYS
    sources = sum(holds(low, high, number) for low, high in documented)
    of = len(documented)
    return Month(
        MONTHS[number - 1],
        x=round(first * 100 / _DAYS, 3),
        width=round((end - first) * 100 / _DAYS, 3),
        sources=sources,
        of=of,
        shade=-(-SHADES * sources // of) if of else 0,
    )
