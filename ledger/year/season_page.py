"""What the page of a season shows: finds by week, the documented months, and how much was looked in each week."""

from dataclasses import dataclass

from ledger.taxa.queries import current_reference
from ledger.traits.explain import source_name
from ledger.words import say, say_n
from ledger.year import effort, queries
from ledger.year.asked import Asked
from ledger.year.season import MONTHS, Season, draw, looked, middle_months, month_of

TRAIT = "fruiting_months"


@dataclass(frozen=True, slots=True)
class Documented:
    first: int
    last: int
    source: str

    @property
    def text(self) -> str:
        if (self.first, self.last) == (1, 12):
            return say("all year")
        first, last = MONTHS[self.first - 1], MONTHS[self.last - 1]
        return first if first == last else say("{first} to {last}", first=first, last=last)


@dataclass(frozen=True, slots=True)
class WeekRow:
    """One week: finds of what was asked for, finds of all taxa, forays."""

    week: int
    month: str
    n: int
    of_all: int
    forays: int


class SeasonPage:
    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.weeks = queries.weeks(taxon=asked.taxon_key, year=asked.year_key)
        self.documented = _documented(asked)
        self.own = None
        spans = [(one.first, one.last) for one in self.documented]
        if asked.taxon is not None and not spans:
            self.own = _own(asked)
            spans = [(self.own.first, self.own.last)] if self.own else []
        self.season: Season = draw(self.weeks, spans)
        self._of_all = queries.weeks(year=asked.year_key)
        self._forays = effort.forays_by_week(asked.year)
        self.looked = looked({*self._of_all, *self._forays}) if asked.taxon else ()
        self.effort = effort.of_year(asked.year) if asked.year else effort.of_all_years()

    @property
    def said(self) -> str:
        """What the drawing shows, in words."""
        n = self.season.n
        if not n:
            return say("No find with a day is like this. Choose another taxon or year.")
        most = max(self.weeks, key=lambda week: self.weeks[week])
        return say_n(
            "{n} find with a day, from week {first} to week {last}; most in week {week} ({month}), {most}.",
            "{n} finds with a day, from week {first} to week {last}; most in week {week} ({month}), {most}.",
            n,
            first=min(self.weeks),
            last=max(self.weeks),
            week=most,
            month=MONTHS[month_of(most) - 1],
            most=self.weeks[most],
        )

    @property
    def outside(self) -> int:
        """Finds of months that no source documents."""
        of = [month for month in self.season.months if month.sources]
        if not of or self.own:
            return 0
        names = {month.name for month in of}
        return sum(n for week, n in self.weeks.items() if MONTHS[month_of(week) - 1] not in names)

    @property
    def rows(self) -> list[WeekRow]:
        of_all, forays = self._of_all, self._forays
        return [
            WeekRow(
                week,
                MONTHS[month_of(week) - 1],
                self.weeks.get(week, 0),
                of_all.get(week, 0),
                forays.get(week, 0),
            )
            for week in sorted({*of_all, *forays})
        ]


def _documented(asked: Asked) -> list[Documented]:
    if asked.taxon is None:
        return []
    reference = current_reference()
    return [
        Documented(int(row.low), int(row.high), source_name(reference.sources[row.source_id]))
        for row in reference.ranges_for(asked.taxon.name, TRAIT)
        if row.low is not None and row.high is not None
    ]


def _own(asked: Asked) -> Documented | None:
    """The season of the club's own years, where the reference has none."""
    weeks = queries.weeks(taxon=asked.taxon_key)
    months = middle_months(weeks)
    if months is None:
        return None
    source = say("the club’s own finds of all years, n = {n}", n=sum(weeks.values()))
    return Documented(*months, source=source)
