"""The club's year: finds, taxa, forays, people, what is new, the season, the collection, and the safe keeping of it all.

It names no place of a find. Forays are told with those of their finds alone that may be told by foray outside the club;
people as they agreed.
"""

from collections.abc import Sequence
from datetime import date, datetime

from django.db.models import Count, Max, Min

from ledger.backup.models import BackupRun
from ledger.club.queries import the_club
from ledger.days import short_day_text
from ledger.finds.models import Find, Status
from ledger.handing_on.named import people_leaving
from ledger.moments import day_of
from ledger.reports.cautions import cautions
from ledger.reports.providers import Figure, provider
from ledger.reports.sheet import Bar, Block, Column, Report, Table, Weeks, Words, cell
from ledger.reports.telling import many
from ledger.reports.yearly_lists import (
    days_of,
    entries_of,
    forays_table,
    members_table,
    new_table,
    new_taxa,
    taxa_table,
)
from ledger.year import effort, queries
from ledger.year.cells import NONE
from ledger.year.season import MONTHS, month_of

_WORDS = {
    Status.SETTLED: "settled",
    Status.LOGGED: "logged, and nothing asks for the curator",
    Status.HELD: "held for a doubt",
    Status.SENT_BACK: "sent back with a question",
}


def year_report(year: int, beside: int, *, now: datetime) -> Report:
    """Gather it. `beside` is the year it is compared with."""
    club, people = the_club(), people_leaving()
    new, new_then = new_taxa(year), new_taxa(beside)
    return Report(
        what="The club’s year",
        of=str(year),
        club=club.heading,
        made=day_of(now),
        blocks=[
            _numbers(year, beside, len(new), len(new_then)),
            _weeks(year, beside),
            new_table(new, people),
            taxa_table(year, beside),
            forays_table(year, people),
            members_table(year, people),
            _compared(
                "The collection",
                provider().of_year(*days_of(year)),
                provider().of_year(*days_of(beside)),
                year,
                beside,
            ),
            _safe(year),
        ],
        cautions=cautions(poison_centre=club.poison_centre),
        filed_as=f"year-{year}",
    )


# --- in numbers ---


def _numbers(year: int, beside: int, new: int, new_then: int) -> Table:
    table = _compared("In numbers", _figures(year, new), _figures(beside, new_then), year, beside)
    said = [
        f"How much was looked: {effort.of_year(year).said}; in {beside}: {effort.of_year(beside).said}. More finds may "
        "be more looking.",
        "Standing is as it is today, of finds of either year.",
    ]
    return Table(table.heading, table.columns, table.rows, table.empty, said)


def _figures(year: int, new: int) -> Sequence[Figure]:
    looked = effort.of_year(year)
    taxa = queries.taxa_of_year(year)
    by_status = dict(entries_of(year).order_by().values_list("status").annotate(Count("pk")))
    guests = Find.objects.filter(found_on__range=days_of(year)).exclude(found_by="")
    return [
        Figure("finds", looked.finds),
        Figure("taxa of the reference", len(taxa.keys() - {NONE})),
        Figure("finds without a name of the reference", taxa.get(NONE, 0)),
        Figure("taxa that are new for the club", new),
        Figure("forays", looked.forays),
        Figure("members with finds", looked.people),
        Figure("finds of guests, keyed in by members", guests.count()),
        Figure("days with finds", entries_of(year).order_by().values("found_on").distinct().count()),
        *(Figure(f"finds {words}", by_status.get(status, 0)) for status, words in _WORDS.items()),
    ]


def _compared(heading: str, now: Sequence[Figure], then: Sequence[Figure], year: int, beside: int) -> Table:
    return Table(
        heading,
        (
            Column("Of the year", 3),
            Column(str(year), is_figures=True),
            Column(str(beside), is_figures=True),
            Column("Change", is_figures=True),
        ),
        [
            (
                cell(one.word, one.note),
                cell(one.n),
                cell(other.n),
                cell(_change(one.n - other.n), is_figures=True),
            )
            for one, other in zip(now, then, strict=True)
        ],
        "Nothing is told of it here.",
    )


def _change(by: int) -> str:
    # A minus as wide as the plus above it.
    return "0" if by == 0 else f"+{by}" if by > 0 else f"\u2212{-by}"


def _weeks(year: int, beside: int) -> Weeks:
    here, there = queries.weeks(year=year), queries.weeks(year=beside)
    most = max([*here.values(), *there.values()], default=0)
    bars = [
        Bar(week, here.get(week, 0), _tall(here.get(week, 0), most), _tall(there.get(week, 0), most))
        for week in sorted({*here, *there})
    ]
    months = [(name, date(2018, at + 1, 1).timetuple().tm_yday / 7) for at, name in enumerate(MONTHS)]
    return Weeks("Finds by week", bars, months, most, _said_of_weeks(year, beside, here, bool(there)))


def _tall(n: int, most: int) -> float:
    return round(100 * n / most, 2) if most else 0.0


def _said_of_weeks(year: int, beside: int, here: dict[int, int], has_beside: bool) -> str:
    if not here:
        return f"No find of {year} has a day."
    top = max(here, key=lambda week: here[week])
    first, last = entries_of(year).aggregate(first=Min("found_on"), last=Max("found_on")).values()
    other = f" The frames are {beside}." if has_beside else ""
    return (
        f"{year}: the first find on {short_day_text(first)}, the last on {short_day_text(last)}; most in week {top} "
        f"({MONTHS[month_of(top) - 1]}), {here[top]}.{other}"
    )


# --- safe keeping ---


def _safe(year: int) -> Block:
    runs = BackupRun.objects.filter(ended_at__year=year)
    counted: dict[tuple[str, bool], int] = {}
    for kind, good, n in runs.order_by().values_list("kind", "good").annotate(Count("pk")):
        counted[kind, good] = n
    lines = []
    for kind, word in ((BackupRun.Kind.BACKUP, "backup"), (BackupRun.Kind.REHEARSAL, "rehearsal")):
        good, bad = counted.get((kind, True), 0), counted.get((kind, False), 0)
        last = runs.filter(kind=kind, good=True).first()
        when = f", the last on {day_of(last.ended_at)}" if last else ""
        failed = f"; {bad} failed" if bad else ""
        lines.append(f"{many(good, word) if good else f'No {word}'} went well{when}{failed}.")
    if not counted.get((BackupRun.Kind.REHEARSAL, True)):
        lines.append("A backup that was never brought back is a hope: let the keeper rehearse one.")
    return Words("Safe keeping", lines)
