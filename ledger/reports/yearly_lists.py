"""The lists of a year: taxa that are new, taxa with their days, forays, members."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Count, Exists, Max, Min, OuterRef, Q, QuerySet, Subquery

from ledger.days import short_day_text, short_month_text
from ledger.exchange.people import PeopleOut
from ledger.finds.models import Status
from ledger.forays.models import Foray
from ledger.reports.sheet import Cell, Column, Table, cell
from ledger.reports.telling import NO_DAY, found_by, name_of_taxon, spoken_name, spoken_names, standing
from ledger.search.keys import first_key_of, last_key_of
from ledger.search.models import FindIndex
from ledger.taxa.models import Taxon
from ledger.words import Said, say, say_n
from ledger.year import queries
from ledger.year.cells import NONE


def days_of(year: int) -> tuple[date, date]:
    return date(year, 1, 1), date(year, 12, 31)


def entries_of(year: int) -> "QuerySet[FindIndex]":
    """The finds of a year, as the index has them: a stretch of its order."""
    first, last = days_of(year)
    return FindIndex.objects.filter(latest__range=(first_key_of(first), last_key_of(last)))


# --- taxa ---


def new_taxa(year: int) -> list[Taxon]:
    """Taxa with a find of that year and none of a day before it, each named without a doubt or a group."""
    found = queries.taxa_of_year(year).keys() - {NONE}
    first, last = days_of(year)
    # From the first day there is: a find without a day lies below all others, and is no earlier one.
    earlier = _of_that_name().filter(latest__gte=first_key_of(date.min), latest__lt=first_key_of(first))
    within = _of_that_name().filter(latest__range=(first_key_of(first), last_key_of(last)))
    return list(Taxon.objects.filter(~Exists(earlier), Exists(within), pk__in=found).order_by("name"))


def _of_that_name() -> "QuerySet[FindIndex]":
    """The finds of the taxon in question. One named cf., aff. or as a group has not been told to be it."""
    return FindIndex.objects.filter(taxon=OuterRef("pk"), find__current_determination__qualifier="")


def new_table(taxa: Sequence[Taxon], people: PeopleOut) -> Table:
    """New taxa with their first find."""
    entries = _of_that_name().filter(latest__gte=first_key_of(date.min))
    firsts = Subquery(entries.order_by("latest", "id").values("id")[:1])
    keys = dict(
        Taxon.objects.filter(pk__in=[one.pk for one in taxa])
        .annotate(first=firsts)
        .values_list("pk", "first")
    )
    found = FindIndex.objects.select_related("find__finder").in_bulk(list(keys.values()))
    firsts_of = {taxon: found[key] for taxon, key in keys.items()}
    names = spoken_names()
    rows = [
        (
            Cell(name_of_taxon(taxon), tuple(filter(None, [spoken_name(taxon, names)]))),
            cell(_day_leaving(row.found_on), row.find.collecting_number)
            if row.step_deg is None
            else cell(_day_leaving(row.found_on, kept_back=True)),
            cell(found_by(row.find, people)),
            cell(standing(row.find)),
        )
        for taxon in taxa
        for row in [firsts_of[taxon.pk]]
    ]
    return Table(
        say("New for the club"),
        (
            Column(say("Name"), 2.4),
            Column(say("First find"), 1.2),
            Column(say("Found by"), 1.3),
            Column(say("Standing"), 1.5),
        ),
        rows,
        say("No taxon was found for the first time."),
        [
            say(
                "No earlier day is in the ledger. What is not settled may yet turn out to be something else."
            ),
            *_month_alone(any(row.step_deg is not None for row in firsts_of.values())),
        ]
        if rows
        else [],
    )


def _day_leaving(day: date | None, *, kept_back: bool = False) -> Said:
    """The day of a find; of one whose place is kept back its month, since the day and the forays would tell the place."""
    if day is None:
        return say(NO_DAY)
    if not kept_back:
        return short_day_text(day)
    return say("{month} {year}", month=short_month_text(day.month), year=day.year)


def _month_alone(needed: bool) -> list[str]:
    if not needed:
        return []
    return [
        say("Of a find whose place is kept back the month alone is told, since its day would tell the foray.")
    ]


def taxa_table(year: int, beside: int) -> Table:
    here, there = queries.taxa_of_year(year), queries.taxa_of_year(beside)
    told = Q(step_deg__isnull=True)
    days = {
        row["taxon"]: row
        for row in entries_of(year)
        .order_by()
        .values("taxon")
        .annotate(first=Min("found_on"), last=Max("found_on"))
        .annotate(first_told=Min("found_on", filter=told), last_told=Max("found_on", filter=told))
        .annotate(settled=Count("pk", filter=_settled()))
    }
    taxa = Taxon.objects.filter(pk__in=here).order_by("name")
    return Table(
        say("Taxa, with their first and last day"),
        (
            Column(say("Name"), 3),
            Column(say("First"), 1.1),
            Column(say("Last"), 1.1),
            Column(say("Finds"), is_figures=True),
            Column(say("Settled"), is_figures=True),
            Column(say("Finds of {year}", year=beside), is_figures=True),
        ),
        [
            (
                Cell(name_of_taxon(taxon)),
                *(
                    cell(_day_leaving(of[end], kept_back=of[end] != of[f"{end}_told"]))
                    for end in ("first", "last")
                ),
                cell(here[taxon.pk]),
                cell(of["settled"]),
                cell(there.get(taxon.pk, 0)),
            )
            for taxon in taxa
            if taxon.pk in days
            for of in [days[taxon.pk]]
        ],
        say("No find of {year} has a name of the reference.", year=year),
        [
            *_missing(here, there, beside),
            *(
                [say("A find named with cf. or aff., or as a group, counts with its taxon here.")]
                if days
                else []
            ),
            *_month_alone(
                any(of[end] != of[f"{end}_told"] for of in days.values() for end in ("first", "last"))
            ),
        ],
    )


def _settled() -> Q:
    return Q(status=Status.SETTLED)


def _missing(here: dict[int, int], there: dict[int, int], beside: int) -> list[str]:
    gone = len(there.keys() - here.keys() - {NONE})
    if not gone:
        return []
    return [
        say_n(
            "{n} taxon of {year} was not found again, which is not the same as not there.",
            "{n} taxa of {year} were not found again, which is not the same as not there.",
            gone,
            year=beside,
        )
    ]


# --- forays and people ---


def forays_table(year: int, people: PeopleOut) -> Table:
    forays = list(Foray.objects.filter(held_on__year=year).order_by("held_on", "name"))
    told = FindIndex.objects.filter(foray__in=[one.pk for one in forays], step_deg__isnull=True).order_by()
    counted = told.values("foray").annotate(
        n=Count("pk"), taxa=Count("taxon", distinct=True), finders=Count("finder", distinct=True)
    )
    found = {row["foray"]: row for row in counted}
    nothing = {"n": 0, "taxa": 0, "finders": 0}
    return Table(
        say("Forays"),
        (
            Column(say("Day"), 1),
            Column(say("Foray"), 2.4),
            Column(say("Led by"), 1.4),
            Column(say("Members"), is_figures=True),
            Column(say("Taxa"), is_figures=True),
            Column(say("Finds"), is_figures=True),
        ),
        [
            (
                cell(short_day_text(one.held_on)),
                cell(one.name, one.place),
                cell(people.named(one.leader_id).name),
                *(cell(found.get(one.pk, nothing)[key]) for key in ("finders", "taxa", "n")),
            )
            for one in forays
        ],
        say("No foray of {year} is in the ledger.", year=year),
        [say("Finds whose place is kept back are not counted with a foray, which would tell it.")]
        if forays
        else [],
    )


def members_table(year: int, people: PeopleOut) -> Table:
    rows_of = entries_of(year).order_by().values_list("finder")
    found = rows_of.annotate(
        Count("pk"), Count("taxon", distinct=True), settled=Count("pk", filter=_settled())
    )
    rows = sorted((people.named(key).name, n, taxa, settled) for key, n, taxa, settled in found)
    return Table(
        say("Members with finds"),
        (
            Column(say("Member"), 3),
            Column(say("Finds"), is_figures=True),
            Column(say("Taxa"), is_figures=True),
            Column(say("Settled"), is_figures=True),
        ),
        [tuple(cell(one) for one in row) for row in rows],
        say("Nobody has a find of {year}.", year=year),
        [say("In the order of names. Who has not agreed to be named stands here by their collecting code.")]
        if rows
        else [],
    )
