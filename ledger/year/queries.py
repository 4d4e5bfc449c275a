"""Reads of the counts. What waits to be added to them is added here, so that a find is on the map as soon as it is kept."""

from collections import Counter
from collections.abc import Callable
from typing import TypeVar

from django.db.models import F, Q, QuerySet, Sum

from ledger.search.keys import cell_number
from ledger.year import counts
from ledger.year.cells import ALL, NONE, SIDES_DEG, columns_across
from ledger.year.models import CountMove, MapCount, SeasonCount
from ledger.year.view import View

# Side and cell to finds.
Cells = dict[tuple[int, int], int]
_T = TypeVar("_T")
EARTH = View(-90.0, -180.0, 90.0, 180.0, 1.0)


def cells_in(view: View, net: int, *, taxon: int = ALL, year: int = ALL) -> Cells:
    """Finds of each cell that touches the view, on that net; those whose place is kept back in their larger cell."""

    def read(moves: list[CountMove]) -> Cells:
        touching = Q()
        for side in _sides(net):
            touching |= _touching(view, side)
        rows = _with_columns(MapCount.objects.filter(net=net, taxon=taxon, year=year)).filter(touching)
        found: Counter[tuple[int, int]] = Counter()
        for side, cell, n in rows.values_list("side", "cell", "n"):
            found[side, cell] += n
        for (of_net, of_taxon, of_year, side, cell), n in counts.waiting(moves)[0].items():
            if (of_net, of_taxon, of_year) == (net, taxon, year) and _touches(view, side, cell):
                found[side, cell] += n
        return {key: n for key, n in found.items() if n > 0}

    return _with_waiting(read)


def taxa_in_cell(side: int, cell: int, *, year: int = ALL) -> dict[int, int]:
    """Finds by taxon of those told in just this cell or in a smaller one within it."""

    def read(moves: list[CountMove]) -> dict[int, int]:
        rows = MapCount.objects.filter(net=side, side=side, cell=cell, year=year).exclude(taxon=ALL)
        found: Counter[int] = Counter(dict(rows.values_list("taxon", "n")))
        for (net, taxon, of_year, of_side, of_cell), n in counts.waiting(moves)[0].items():
            if (net, of_side, of_cell, of_year) == (side, side, cell, year) and taxon != ALL:
                found[taxon] += n
        return {taxon: n for taxon, n in found.items() if n > 0}

    return _with_waiting(read)


def told_wider(side: int, cell: int, south: float, west: float, *, year: int = ALL) -> int:
    """Finds told only in a larger cell that holds this one: they may have been found here, or not."""
    larger = [
        (one, cell_number(latitude=south, longitude=west, side_deg=SIDES_DEG[one])) for one in range(1, side)
    ]
    view = View(south, west, south, west, 1.0)
    found = cells_in(view, side, year=year)
    return sum(found.get(key, 0) for key in larger)


def weeks(*, taxon: int = ALL, year: int = ALL) -> dict[int, int]:
    """Finds by ISO week, 1 to 53."""

    def read(moves: list[CountMove]) -> dict[int, int]:
        rows = SeasonCount.objects.filter(year=year, taxon=taxon).values_list("week", "n")
        found: Counter[int] = Counter(dict(rows))
        for (of_year, of_taxon, week), n in counts.waiting(moves)[1].items():
            if (of_year, of_taxon) == (year, taxon):
                found[week] += n
        return {week: n for week, n in sorted(found.items()) if n > 0 and week != NONE}

    return _with_waiting(read)


def taxa_of_year(year: int = ALL) -> dict[int, int]:
    """Finds by taxon of a year, or of all; cells.NONE stands for those without a known name."""

    def read(moves: list[CountMove]) -> dict[int, int]:
        rows = SeasonCount.objects.filter(year=year).exclude(taxon=ALL).values("taxon").order_by()
        found: Counter[int] = Counter(dict(rows.annotate(all=Sum("n")).values_list("taxon", "all")))
        for (of_year, taxon, _week), n in counts.waiting(moves)[1].items():
            if of_year == year and taxon != ALL:
                found[taxon] += n
        return {taxon: n for taxon, n in found.items() if n > 0}

    return _with_waiting(read)


def years(taxon: int = ALL) -> dict[int, int]:
    """Finds by year, the latest first; those without a day are left out."""

    def read(moves: list[CountMove]) -> dict[int, int]:
        rows = SeasonCount.objects.filter(taxon=taxon).exclude(year__in=(ALL, NONE)).values("year").order_by()
        found: Counter[int] = Counter(dict(rows.annotate(all=Sum("n")).values_list("year", "all")))
        for (year, of_taxon, _week), n in counts.waiting(moves)[1].items():
            if of_taxon == taxon and year not in (ALL, NONE):
                found[year] += n
        return {year: n for year, n in sorted(found.items(), reverse=True) if n > 0}

    return _with_waiting(read)


def _with_waiting(read: "Callable[[list[CountMove]], _T]") -> _T:
    """Read with what waits; again where somebody added it to the counts in between, since it would be missed."""
    for _ in range(3):
        moves = list(CountMove.objects.order_by("pk"))
        found = read(moves)
        if not moves or CountMove.objects.filter(pk=moves[0].pk).exists():
            break
        # Counted twice: the rows were read after they had been added.
    return found


def _sides(net: int) -> range:
    return range(1, net + 1) if net else range(1)


def _touching(view: View, side: int) -> Q:
    across = columns_across(side)
    (first_row, last_row), (first, last) = view.rows(side), view.columns(side)
    within = Q(side=side, cell__gte=first_row * across + first, cell__lte=last_row * across + last)
    if first > 0 or last < across - 1:
        within &= Q(**{f"column_{side}__gte": first, f"column_{side}__lte": last})
    return within


def _touches(view: View, side: int, cell: int) -> bool:
    row, column = divmod(cell, columns_across(side))
    (first_row, last_row), (first, last) = view.rows(side), view.columns(side)
    return first_row <= row <= last_row and first <= column <= last


def _with_columns(rows: "QuerySet[MapCount]") -> "QuerySet[MapCount]":
    """Rows with the column of their cell on each net."""
    return rows.annotate(**{f"column_{side}": F("cell") % columns_across(side) for side in range(4)})
