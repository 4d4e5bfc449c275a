"""Pages of rows without counting and without skipping: each goes on from the last row of the one before."""

import base64
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db.models import Q, QuerySet

from ledger.search.models import FindIndex
from ledger.search.walk import Walk, walked
from ledger.words import later


@dataclass(frozen=True, slots=True)
class Sort:
    """An order of the list: its name in the address, what it is called, and its columns, the last of them the identity."""

    code: str
    label: str
    columns: tuple[str, ...]

    def flipped(self) -> tuple[str, ...]:
        return tuple(one[1:] if one.startswith("-") else f"-{one}" for one in self.columns)


SORTS = (
    Sort("", later("Latest found"), ("-latest", "-id")),
    Sort("earliest", later("Earliest found"), ("latest", "id")),
    Sort("entered", later("Last entered"), ("-logged_at", "-id")),
    Sort("name", later("Name"), ("name_key", "-latest", "-id")),
    Sort(
        "number",
        later("Collecting number"),
        ("collecting_code", "collecting_serial", "collecting_suffix", "id"),
    ),
)


@dataclass(frozen=True, slots=True)
class Page:
    """Rows in their order. `before` and `after` are the marks for the pages beside it, empty where there is none."""

    rows: Sequence[FindIndex]
    before: str = ""
    after: str = ""


def page_of(
    rows: "QuerySet[FindIndex]",
    sort: Sort,
    *,
    size: int,
    after: str = "",
    before: str = "",
    walk: Walk | None = None,
) -> Page:
    """The page behind a mark, or the one before it, or the first. A mark that was not made here counts as none.

    `walk`: the same rows where the order is to be walked.
    """
    if before and (values := _read(before, sort)) is not None:
        found = _fetch(rows, sort.flipped(), values, size + 1, walk)
        more = len(found) > size
        shown = found[:size][::-1]
        if len(shown) == size:
            return Page(shown, _mark(shown[0], sort) if more else "", _mark(shown[-1], sort))
        # Less than a page lies before it: that is the first page.
    values = _read(after, sort) if after else None
    found = _fetch(rows, sort.columns, values, size + 1, walk)
    shown = found[:size]
    first = _mark(shown[0], sort) if values is not None and shown else ""
    return Page(shown, first, _mark(shown[-1], sort) if len(found) > size else "")


def _fetch(
    rows: "QuerySet[FindIndex]",
    columns: Sequence[str],
    values: Sequence[Any] | None,
    many: int,
    walk: Walk | None = None,
) -> list[FindIndex]:
    """The rows behind those values. One question for each leading column that is the same: each is a run of an index."""
    if walk is not None and walk.named is not None:
        return _by_names(walk, walk.named, columns, values, many)
    if values is None:
        return _first(rows, Q(), columns, many, walk)
    found: list[FindIndex] = []
    for level in range(len(columns) - 1, -1, -1):
        same = Q(
            **{
                column.lstrip("-"): value
                for column, value in zip(columns[:level], values[:level], strict=True)
            }
        )
        column = columns[level]
        way = "lt" if column.startswith("-") else "gt"
        behind = same & Q(**{f"{column.lstrip('-')}__{way}": values[level]})
        found += _first(rows, behind, columns, many - len(found), walk)
        if len(found) == many:
            break
    return found


def _first(
    rows: "QuerySet[FindIndex]", behind: Q, columns: Sequence[str], many: int, walk: Walk | None
) -> list[FindIndex]:
    """The first rows of those behind a mark."""
    if walk is not None:
        order = FindIndex.objects.filter(behind).order_by(*columns)
        found = walked(order, walk, columns, many)
        if found is not None:
            return found
    return list(rows.filter(behind).order_by(*columns)[:many])


def _by_names(
    walk: Walk, named: "QuerySet[FindIndex]", columns: Sequence[str], values: Sequence[Any] | None, many: int
) -> list[FindIndex]:
    """In the order of names, name by name: within one of them the order is that of an index."""
    start, within = values[0] if values else None, columns[1:]
    found: list[FindIndex] = []
    for key in walk.keys_from(start, backwards=columns[0].startswith("-")):
        behind = values[1:] if values and key == start else None
        found += _fetch(named.filter(name_key=key), within, behind, many - len(found))
        if len(found) == many:
            break
    return found


def _mark(row: FindIndex, sort: Sort) -> str:
    """Where a row stands, as it goes into an address."""
    values = [getattr(row, column.lstrip("-")) for column in sort.columns]
    said = json.dumps(
        [one.isoformat() if isinstance(one, datetime) else one for one in values], separators=(",", ":")
    )
    return base64.urlsafe_b64encode(said.encode()).decode().rstrip("=")


def _read(mark: str, sort: Sort) -> list[Any] | None:
    """The values of a mark; None where it is none of this order."""
    try:
        values = json.loads(base64.urlsafe_b64decode(mark[:600] + "=" * (-len(mark) % 4)))
        if not isinstance(values, list) or len(values) != len(sort.columns):
            return None
        return [_value(value, column.lstrip("-")) for value, column in zip(values, sort.columns, strict=True)]
    except ValueError:
        return None


def _value(value: Any, column: str) -> Any:
    """A value of that column's kind. ValueError for any other."""
    if column == "logged_at":
        moment = datetime.fromisoformat(str(value))
        if moment.tzinfo is None:
            raise ValueError(value)
        try:
            return moment.astimezone(UTC)
        except OverflowError as beyond:
            raise ValueError(value) from beyond
    is_text = column in ("name_key", "collecting_code", "collecting_suffix")
    if is_text and isinstance(value, str) and "\x00" not in value:
        value.encode()  # half a surrogate pair is a ValueError here, and none that a database could be asked about
        return value
    if not is_text and isinstance(value, int) and not isinstance(value, bool) and abs(value) < 1 << 62:
        return value
    raise ValueError(value)
