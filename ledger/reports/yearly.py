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
from ledger.moments import day_of, year_of
from ledger.reports.cautions import cautions
from ledger.reports.providers import Figure, provider
from ledger.reports.sheet import Bar, Block, Column, Report, Table, Weeks, Words, cell
from ledger.reports.yearly_lists import (
    days_of,
    entries_of,
    forays_table,
    members_table,
    new_table,
    new_taxa,
    taxa_table,
)
from ledger.words import Said, capital, later, say, say_n, together
from ledger.year import effort, queries
from ledger.year.cells import NONE
from ledger.year.season import MONTHS, month_of

_WORDS = {
    Status.SETTLED: later("finds settled"),
    Status.LOGGED: later("finds logged, and nothing asks for the curator"),
    Status.HELD: later("finds held for a doubt"),
    Status.SENT_BACK: later("finds sent back with a question"),
}


def year_report(year: int, beside: int, *, now: datetime) -> Report:
    """Gather it. `beside` is the year it is compared with."""
    club, people = the_club(), people_leaving()
    new, new_then = new_taxa(year), new_taxa(beside)
    return Report(
        what=say("The club’s year"),
        of=str(year),
        club=club.heading,
        made=day_of(now),
        blocks=[
            _numbers(year, beside, len(new), len(new_then), now),
            _weeks(year, beside),
            new_table(new, people),
            taxa_table(year, beside),
            forays_table(year, people),
            members_table(year, people),
            _compared(
                say("The collection"),
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


def _numbers(year: int, beside: int, new: int, new_then: int, now: datetime) -> Table:
    table = _compared(say("In numbers"), _figures(year, new), _figures(beside, new_then), year, beside)
    said = [
        say(
            "How much was looked: {here}; in {beside}: {there}. More finds may be more looking.",
            here=effort.of_year(year).said,
            beside=beside,
            there=effort.of_year(beside).said,
        ),
        say("Standing is as it is today, of finds of either year."),
    ]
    if (present := year_of(now)) in (year, beside):
        said.insert(1, say("{year} is not over: it is counted up to {day}.", year=present, day=day_of(now)))
    return Table(table.heading, table.columns, table.rows, table.empty, said)


def _figures(year: int, new: int) -> Sequence[Figure]:
    looked = effort.of_year(year)
    taxa = queries.taxa_of_year(year)
    by_status = dict(entries_of(year).order_by().values_list("status").annotate(Count("pk")))
    guests = Find.objects.filter(found_on__range=days_of(year)).exclude(found_by="")
    return [
        Figure(say("finds"), looked.finds),
        Figure(say("taxa of the reference"), len(taxa.keys() - {NONE})),
        Figure(say("finds without a name of the reference"), taxa.get(NONE, 0)),
        Figure(say("taxa that are new for the club"), new),
        Figure(say("forays"), looked.forays),
        Figure(say("members with finds"), looked.people),
        Figure(say("finds of guests, keyed in by members"), guests.count()),
        Figure(say("days with finds"), entries_of(year).order_by().values("found_on").distinct().count()),
        *(Figure(say(words), by_status.get(status, 0)) for status, words in _WORDS.items()),
    ]


def _compared(heading: str, now: Sequence[Figure], then: Sequence[Figure], year: int, beside: int) -> Table:
    return Table(
        heading,
        (
            Column(say("Of the year"), 3),
            Column(str(year), is_figures=True),
            Column(str(beside), is_figures=True),
            # What changed; "Change" alone is what buttons ask for, another word elsewhere.
            Column(capital(say("change")), is_figures=True),
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
        say("Nothing is told of it here."),
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
    months = [(str(name), date(2018, at + 1, 1).timetuple().tm_yday / 7) for at, name in enumerate(MONTHS)]
    return Weeks(say("Finds by week"), bars, months, most, _said_of_weeks(year, beside, here, bool(there)))


def _tall(n: int, most: int) -> float:
    return round(100 * n / most, 2) if most else 0.0


def _said_of_weeks(year: int, beside: int, here: dict[int, int], has_beside: bool) -> str:
    if not here:
        return say("No find of {year} has a day.", year=year)
    top = max(here, key=lambda week: here[week])
    first, last = entries_of(year).aggregate(first=Min("found_on"), last=Max("found_on")).values()
    told: list[str] = [
        say(
            "{year}: the first find on {first}, the last on {last}; most in week {week} ({month}), {n}.",
            year=year,
            first=short_day_text(first),
            last=short_day_text(last),
            week=top,
            month=MONTHS[month_of(top) - 1],
            n=here[top],
        )
    ]
    if has_beside:
        told.append(say("The frames are {year}.", year=beside))
    return together(told)


# --- safe keeping ---


def _safe(year: int) -> Block:
    runs = BackupRun.objects.filter(ended_at__year=year)
    counted: dict[tuple[str, bool], int] = {}
    for kind, good, n in runs.order_by().values_list("kind", "good").annotate(Count("pk")):
        counted[kind, good] = n
    if not counted:
        return Words(
            say("Safe keeping"),
            [say("No backup and no rehearsal of {year} is on record. Ask the keeper.", year=year)],
        )
    lines = []
    for kind in (BackupRun.Kind.BACKUP, BackupRun.Kind.REHEARSAL):
        good, bad = counted.get((kind, True), 0), counted.get((kind, False), 0)
        last = runs.filter(kind=kind, good=True).first()
        when = say("the last on {day}", day=day_of(last.ended_at)) if last else ""
        failed = say("{n} failed", n=bad) if bad else ""
        lines.append(
            f"{_went_well(kind, good)}{f', {when}' if when else ''}{f'; {failed}' if failed else ''}."
        )
    if not counted.get((BackupRun.Kind.REHEARSAL, True)):
        lines.append(say("A backup that was never brought back is a hope: let the keeper rehearse one."))
    return Words(say("Safe keeping"), lines)


def _went_well(kind: str, n: int) -> Said:
    if kind == BackupRun.Kind.BACKUP:
        if not n:
            return say("No backup went well")
        return say_n("{n} backup went well", "{n} backups went well", n)
    if not n:
        return say("No rehearsal went well")
    return say_n("{n} rehearsal went well", "{n} rehearsals went well", n)
