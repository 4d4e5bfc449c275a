"""What was found: of a foray, in an area, in a year; and how much was looked."""

import math
from collections import Counter
from dataclasses import dataclass

from ledger.finds.access import may_see_place_of
from ledger.people.models import Member
from ledger.search.keys import cell_bounds, cell_number
from ledger.search.models import FindIndex
from ledger.taxa.models import Taxon
from ledger.words import say, say_n
from ledger.year import effort, map_words, queries
from ledger.year.asked import Asked
from ledger.year.cells import NONE, SIDES_DEG
from ledger.year.map_page import Area


@dataclass(frozen=True, slots=True)
class Row:
    taxon: Taxon
    n: int


class Checklist:
    """Taxa by name with their finds. `of` says of what, `beside` how much was looked, `missing` what other years had.

    `warning`: that it holds what others may not know, so that nobody hands it on.
    """

    def __init__(self, member: Member, asked: Asked, cell: tuple[int, int] | None) -> None:
        self.asked, self.cell = asked, cell
        self.left_out = self.wider = self.beside_all = self.warning = ""
        self.missing: list[Taxon] = []
        self.area: Area | None = None
        if asked.foray is not None:
            found = self._of_foray(member)
        elif cell is not None:
            found = self._of_cell(*cell)
        else:
            found = self._of_year()
        self.not_named = found.pop(NONE, 0)
        names = Taxon.objects.in_bulk(found)
        self.rows = sorted(
            (Row(names[key], n) for key, n in found.items() if key in names), key=lambda row: row.taxon.name
        )

    def _of_foray(self, member: Member) -> dict[int, int]:
        foray = self.asked.foray
        rows = list(
            FindIndex.objects.filter(may_see_place_of(member), foray=foray)
            .order_by()
            .values_list("taxon", "finder", "step_deg")
        )
        people = len({finder for _, finder, _ in rows})
        self.of = say("the foray {foray}", foray=foray)
        self.beside = say_n(
            "{finds} of {n} member on one day",
            "{finds} of {n} members on one day",
            people,
            finds=map_words.finds(len(rows)),
        )
        self.left_out = say("Finds whose place is kept back from you are left out: the foray would tell it.")
        kept_back = sum(step_deg is not None for _, _, step_deg in rows)
        if kept_back:
            self.warning = say_n(
                "{n} find in this list is kept back from others: do not hand the list on. The report for the owner of the "
                "land leaves such finds out.",
                "{n} finds in this list are kept back from others: do not hand the list on. The report for the owner of the "
                "land leaves such finds out.",
                kept_back,
            )
        return dict(Counter(taxon or NONE for taxon, _, _ in rows))

    def _of_cell(self, side: int, cell: int) -> dict[int, int]:
        year = self.asked.year_key
        found = queries.taxa_in_cell(side, cell, year=year)
        edges = cell_bounds(cell, SIDES_DEG[side])
        self.area = Area(*edges, sum(found.values()), kept_back=False)
        self.of = f"{self.area.words}, {self.asked.year or say('all years')}"
        self.beside = map_words.finds(self.area.n)
        wider = queries.told_wider(side, cell, edges[0], edges[1], year=year)
        if wider:
            self.wider = say_n(
                "{n} find more is told only by a larger area that holds this one, and may or may not be of it.",
                "{n} finds more are told only by a larger area that holds this one, and may or may not be of it.",
                wider,
            )
        return found

    def _of_year(self) -> dict[int, int]:
        year = self.asked.year
        found = queries.taxa_of_year(self.asked.year_key)
        self.of = str(year) if year else say("all years")
        self.beside = (effort.of_year(year) if year else effort.of_all_years()).said
        if year and found:
            self.beside_all = effort.of_all_years().said
            others = queries.taxa_of_year().keys() - found.keys() - {NONE}
            self.missing = list(Taxon.objects.filter(pk__in=others).order_by("name"))
        return found


def taxa_found() -> list[Row]:
    """Every taxon that was ever found, with its finds."""
    found = queries.taxa_of_year()
    return [Row(taxon, found[taxon.pk]) for taxon in Taxon.objects.filter(pk__in=found).order_by("name")]


def cell_of(typed: str) -> tuple[int, int] | None:
    """Side and cell of an address such as `51.2,-2.4,0.1`: south, west and side. None where that is no cell of ours."""
    try:
        south, west, side = (float(part) for part in typed.split(","))
    except ValueError:
        return None
    if side not in SIDES_DEG or not all(map(math.isfinite, (south, west))):
        return None
    if not (-90 <= south < 90 and -180 <= west < 180):
        return None
    return SIDES_DEG.index(side), cell_number(latitude=south, longitude=west, side_deg=side)
