"""What a report was asked for, out of its address. What cannot be is told and left out."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from ledger.reports import own, owner
from ledger.words import say
from ledger.year.asked import asked_of

# No club keeps finds of other years; a day beyond them would be none that a table can hold.
FIRST_YEAR, LAST_YEAR = 1700, 2999


@dataclass(frozen=True, slots=True)
class YearAsked:
    year: int
    beside: int
    troubles: list[str] = field(default_factory=list)


def year_asked(given: Mapping[str, str], today: date) -> YearAsked:
    """The year, this one where none was asked for, and the one it is compared with: the one before it."""
    troubles: list[str] = []
    year = _year(given.get("year", ""), today.year, troubles)
    return YearAsked(year, _year(given.get("beside", ""), year - 1, troubles), troubles)


def _year(typed: str, else_year: int, troubles: list[str]) -> int:
    typed = typed.strip()[:10]
    if not typed:
        return else_year
    if typed.isascii() and typed.isdigit() and FIRST_YEAR <= int(typed) <= LAST_YEAR:
        return int(typed)
    troubles.append(
        say(
            "“{typed}” is no year that can be reported on, so {year} is. Write it as 2026.",
            typed=typed,
            year=else_year,
        )
    )
    return else_year


def owner_choices(given: Mapping[str, str]) -> owner.Choices:
    return owner.Choices(
        one_by_one=given.get("list") == "finds", settled_only=given.get("names") == "settled"
    )


def own_choices(given: Mapping[str, str]) -> tuple[own.Choices, list[str]]:
    """The choices, and what of the address could not be."""
    asked = asked_of({name: given.get(name, "") for name in ("taxon", "year")})
    order = given.get("order", "")
    year = asked.year if asked.year and FIRST_YEAR <= asked.year <= LAST_YEAR else None
    if asked.year and not year:
        asked.troubles.append(
            say("“{typed}” is no year that can be reported on, so all are shown.", typed=asked.year)
        )
    return own.Choices(order if order in own.ORDERS else "", year, asked.taxon), asked.troubles


def part_asked(given: Mapping[str, str], parts: int) -> int:
    """The part of a print, counted from 1; the first where that is none of them."""
    typed = given.get("part", "")[:6]
    part = int(typed) if typed.isascii() and typed.isdigit() else 1
    return part if 1 <= part <= parts else 1
