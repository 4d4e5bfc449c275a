"""Which backups stay: the newest few, then one a week, then one a month. Pure."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class Keep:
    """How many stay: the newest, of each of so many weeks that have one (ISO weeks), of so many months."""

    newest: int = 7
    weekly: int = 5
    monthly: int = 12


def staying(moments: Iterable[datetime], keep: Keep) -> set[datetime]:
    """Of backups made at these moments, those that stay; of a week or a month the last one. The newest always stays."""
    backwards = sorted(set(moments), reverse=True)
    stay = set(backwards[: max(1, keep.newest)])
    week: Callable[[datetime], Any] = lambda moment: moment.isocalendar()[:2]  # noqa: E731
    month: Callable[[datetime], Any] = lambda moment: (moment.year, moment.month)  # noqa: E731
    for of, many in ((week, keep.weekly), (month, keep.monthly)):
        last: dict[Any, datetime] = {}
        for moment in backwards:
            last.setdefault(of(moment), moment)
        stay.update(list(last.values())[:many])
    return stay
