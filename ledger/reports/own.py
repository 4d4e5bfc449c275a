"""A member's own list: every find of one person, by day or by taxon, with places that are theirs to see.

It is read a page at a time on the screen, and printed in parts of as many rows, so that it takes no more room for ten
thousand finds than for a thousand.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from ledger.club.queries import the_club
from ledger.days import short_day_text
from ledger.finds.access import place_for
from ledger.finds.models import Find
from ledger.handing_on.named import people_leaving
from ledger.moments import day_of
from ledger.people.models import Member
from ledger.reports.cautions import cautions
from ledger.reports.providers import Specimen, provider
from ledger.reports.sheet import ROWS_IN_A_PART, Cell, Column, Facts, Report, Table, cell
from ledger.reports.telling import NO_DAY, determined, finds_text, name_of, standing
from ledger.search.keys import first_key_of, last_key_of
from ledger.search.list_page import finds_of
from ledger.search.models import FindIndex
from ledger.search.paging import SORTS, Page, Sort, page_of
from ledger.taxa.models import Taxon
from ledger.words import later, say, say_n

ON_A_PAGE = 100
_BY_CODE = {sort.code: sort for sort in SORTS}
# As the address has it, and what it is called.
ORDERS = {
    "": (later("Latest first"), _BY_CODE[""]),
    "earliest": (later("Earliest first"), _BY_CODE["earliest"]),
    "name": (later("By taxon"), _BY_CODE["name"]),
    "number": (later("By collecting number"), _BY_CODE["number"]),
}


def may_make(maker: Member, of: Member) -> bool:
    """The member, and curators: nobody else may see all of these places."""
    return maker.pk == of.pk or maker.is_curator


@dataclass(frozen=True, slots=True)
class Choices:
    order: str = ""
    year: int | None = None
    taxon: Taxon | None = None

    @property
    def sort(self) -> Sort:
        return ORDERS[self.order][1]


def chosen(of: Member, choices: Choices) -> "QuerySet[FindIndex]":
    rows = FindIndex.objects.filter(finder=of)
    if choices.year is not None:
        first, last = date(choices.year, 1, 1), date(choices.year, 12, 31)
        rows = rows.filter(latest__range=(first_key_of(first), last_key_of(last)))
    return rows.filter(taxon=choices.taxon) if choices.taxon else rows


def page_shown(of: Member, choices: Choices, *, after: str, before: str) -> Page:
    return page_of(chosen(of, choices), choices.sort, size=ON_A_PAGE, after=after, before=before)


def own_page(of: Member, maker: Member, choices: Choices, page: Page, *, now: datetime) -> Report:
    """The report as the screen shows it: the rows of one page."""
    return _report(of, maker, choices, page.rows, now=now)


def own_part(of: Member, maker: Member, choices: Choices, part: int, *, now: datetime) -> Report:
    """One part of it as it is printed, counted from 1."""
    # Skipped rows are read by their identity alone, and only those of one member.
    first = (part - 1) * ROWS_IN_A_PART
    rows = chosen(of, choices).order_by(*choices.sort.columns)[first : first + ROWS_IN_A_PART]
    return _report(of, maker, choices, list(rows), now=now, part=part)


def parts_in_all(of: Member, choices: Choices) -> int:
    return max(1, -(-chosen(of, choices).count() // ROWS_IN_A_PART))


def _report(
    of: Member, maker: Member, choices: Choices, rows: Sequence[FindIndex], *, now: datetime, part: int = 1
) -> Report:
    club = the_club()
    count = chosen(of, choices).count()
    taxa = chosen(of, choices).filter(taxon__isnull=False).order_by().values("taxon").distinct().count()
    said: list[str] = [
        finds_text(count),
        say_n("{n} taxon of the reference", "{n} taxa of the reference", taxa),
    ]
    if choices.taxon:
        said.insert(0, choices.taxon.name)
    if choices.year:
        said.insert(0, str(choices.year))
    return Report(
        what=say("A member’s own list of finds"),
        of=f"{of.full_name} ({of.collector_code})",
        club=club.heading,
        made=day_of(now),
        made_by=maker.full_name,
        warning=say(
            "For {member} alone. It tells exact places, those that are kept back from others too: do not hand it on, and do "
            "not publish it.",
            member=of.full_name,
        ),
        blocks=[
            Facts("", [(say("List"), [", ".join(said)]), (say("Order"), [say(ORDERS[choices.order][0])])]),
            _table(rows, maker),
        ],
        cautions=cautions(poison_centre=club.poison_centre),
        part=part,
        parts=max(1, -(-count // ROWS_IN_A_PART)),
        filed_as=f"finds-of-{of.collector_code}",
    )


def _table(rows: Sequence[FindIndex], maker: Member) -> Table:
    finds = finds_of([row.find_id for row in rows])
    people = people_leaving()
    specimens: dict[object, Specimen] = {}
    kept = [find for find in finds if find.accession_number]
    for at in range(0, len(kept), 500):
        specimens.update(provider().specimens(kept[at : at + 500]))
    return Table(
        say("Finds"),
        (
            Column(say("Number"), 1),
            Column(say("Name"), 2.3),
            Column(say("Place"), 2.5),
            Column(say("Standing"), 1.7),
        ),
        [
            (
                cell(find.collecting_number, short_day_text(find.found_on) or NO_DAY, _guest(find)),
                Cell(
                    name_of(find.current_determination),
                    tuple(filter(None, [determined(find.current_determination, people)])),
                ),
                _place(find, maker),
                cell(standing(find), *specimens.get(find.pk, Specimen()).lines),
            )
            for find in finds
        ],
        say("No find is like this."),
    )


def _place(find: Find, maker: Member) -> Cell:
    place = place_for(find, maker)
    kept_back = say("kept back from others") if find.blur_step_deg is not None else ""
    # An error stands on the line of its unit.
    text = place.text.replace("± ", "±\u00a0").replace(" m)", "\u00a0m)")
    if not place.locality:
        return cell(text or say("not written down"), kept_back)
    return cell(place.locality, text, kept_back)


def _guest(find: Find) -> str:
    return say("found by {people}", people=find.found_by) if find.found_by else ""
