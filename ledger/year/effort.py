"""How much was looked: forays and people beside the finds, so that what was not found is not read as absent."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, OuterRef

from ledger.forays.models import Foray
from ledger.people.models import Member
from ledger.search.keys import first_key_of, last_key_of
from ledger.search.models import FindIndex
from ledger.words import say, say_n
from ledger.year import queries


@dataclass(frozen=True, slots=True)
class Effort:
    finds: int
    forays: int
    people: int

    @property
    def said(self) -> str:
        return say(
            "{finds}, {forays}, {members}",
            finds=say_n("{n} find", "{n} finds", self.finds),
            forays=say_n("{n} foray", "{n} forays", self.forays),
            members=say_n("{n} member with finds", "{n} members with finds", self.people),
        )


def of_year(year: int) -> Effort:
    first, last = first_key_of(date(year, 1, 1)), last_key_of(date(year, 12, 31))
    # A look into the index for each member, and not through the finds of a year.
    theirs = FindIndex.objects.filter(finder=OuterRef("pk"), latest__range=(first, last))
    return Effort(
        finds=queries.years().get(year, 0),
        forays=Foray.objects.filter(held_on__year=year).count(),
        people=Member.objects.filter(Exists(theirs)).count(),
    )


def of_all_years() -> Effort:
    theirs = FindIndex.objects.filter(finder=OuterRef("pk"))
    return Effort(
        finds=sum(queries.weeks().values()),
        forays=Foray.objects.count(),
        people=Member.objects.filter(Exists(theirs)).count(),
    )


def forays_by_year() -> dict[int, int]:
    """How many forays were held in each year."""
    rows = Foray.objects.values("held_on__year").order_by().annotate(n=Count("pk"))
    return dict(rows.values_list("held_on__year", "n"))


def forays_by_week(year: int | None) -> dict[int, int]:
    """How many forays were held in each ISO week."""
    rows = Foray.objects.filter(held_on__year=year) if year else Foray.objects.all()
    return dict(Counter(day.isocalendar().week for day in rows.order_by().values_list("held_on", flat=True)))
