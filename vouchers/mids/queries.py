"""How complete the vouchers are, and which are nearly there."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce

from django.db.models import Prefetch, QuerySet

from ledger.club.queries import the_club
from ledger.finds.models import Find, Photo
from ledger.people.models import Member, Role
from ledger.words import Said, say
from vouchers.mids.gather import record_of
from vouchers.mids.hints import CLUB, Hint, hint_of
from vouchers.mids.levels import Completeness, Element, completeness
from vouchers.parts.models import Part
from vouchers.register.models import Voucher

# Nearly there: this many elements short of the next level, at most.
FEW = 2
# What holds for all vouchers at once, and is entered on the club's page.
_OF_THE_CLUB = ("dwc:institutionCode", "dwc:institutionID", "dcterms:license")
# Each is measured anew, since a record changes daily: the newest of a large collection, where there is most to gain.
MOST_MEASURED = 1000
# What `gather.record_of` reads of a find.
_READ = frozenset(
    (
        *("id", "finder", "current_determination", "changed_at", "found_on", "found_by"),
        *("locality", "region", "country", "latitude", "longitude", "datum", "uncertainty_m"),
        *("collecting_code", "collecting_serial", "collecting_suffix"),
    )
)


@dataclass(frozen=True, slots=True)
class Measured:
    """One voucher with its level and what is missing for the next, each with what to do about it.

    `beyond`: the same as if the club itself lacked nothing, such as a licence: what is left to do to this one.
    """

    voucher: Voucher
    completeness: Completeness
    beyond: Completeness

    @property
    def hints(self) -> list[Hint]:
        return [hint_of(element) for element in self.completeness.missing]

    @property
    def hints_beyond(self) -> list[Hint]:
        return [hint_of(element) for element in self.beyond.missing]


@dataclass(frozen=True, slots=True)
class Overview:
    """The newest vouchers in the collection: how many at each level, what is missing most, and those nearly there.

    `of_the_club`: what the club lacks itself, with how many vouchers wait for it; `missing` and `nearly` go beyond that.
    `is_part`: there are more than MOST_MEASURED, and the older ones are not among these.
    """

    levels: Sequence[tuple[str, int]]
    of_the_club: Sequence[tuple[Hint, int]]
    missing: Sequence[tuple[Hint, int]]
    nearly: Sequence[Measured]
    many: int
    is_part: bool = False


def for_completeness(vouchers: QuerySet[Voucher]) -> QuerySet[Voucher]:
    """With all that the measure reads, and no more of a find: three queries however many vouchers.

    What is there of each stands in a list beside it, `parts_there` and `photos_there`: a manager of its own for each of a
    thousand would take longer than all the rest.
    """
    unread = (field.name for field in Find._meta.concrete_fields if field.name not in _READ)
    related = vouchers.select_related(
        "find__finder", "find__current_determination__taxon", "find__current_determination__determiner"
    )
    return related.defer(*(f"find__{name}" for name in unread)).prefetch_related(
        Prefetch("parts", Part.objects.there().only("voucher_id", "kind"), to_attr="parts_there"),
        Prefetch(
            "find__photos", Photo.objects.only("find_id", "sha256").order_by("pk"), to_attr="photos_there"
        ),
    )


def measured(vouchers: Iterable[Voucher]) -> list[Measured]:
    club = the_club()
    made = []
    for voucher in vouchers:
        record = record_of(voucher, club)
        as_if = record | {term: record[term] or "to come" for term in _OF_THE_CLUB}
        made.append(Measured(voucher, completeness(record), completeness(as_if)))
    return made


def overview(lacking: str = "") -> Overview:
    """The newest vouchers that are in the collection.

    `lacking` narrows those nearly there to one missing element by its code.

    Four queries however many vouchers.
    """
    there = Voucher.objects.filter(deaccessioned_at__isnull=True)
    rows = measured(for_completeness(there)[: MOST_MEASURED + 1])
    is_part = len(rows) > MOST_MEASURED
    rows = rows[:MOST_MEASURED]
    titles = Counter(row.completeness.title for row in rows)
    of_the_club = Counter(hint for row in rows for hint in row.hints if hint.where == CLUB)
    missing: Counter[Element] = Counter(element for row in rows for element in row.beyond.missing)
    nearly = [
        row
        for row in rows
        if 0 < len(row.beyond.missing) <= FEW
        and (not lacking or lacking in [element.code for element in row.beyond.missing])
    ]
    # One element short before two, and within that the lower level first: it gains most.
    nearly.sort(key=lambda row: (len(row.beyond.missing), row.beyond.next_level))
    return Overview(
        levels=sorted(titles.items()),
        of_the_club=of_the_club.most_common(),
        missing=[(hint_of(element), many) for element, many in missing.most_common()],
        nearly=nearly,
        many=len(rows),
        is_part=is_part,
    )


def keepers() -> str:
    """Who enters what holds for the whole club: the names of its keepers."""
    names = Member.objects.filter(role=Role.KEEPER, is_active=True).order_by("full_name")
    told = list(names.values_list("full_name", flat=True))
    return reduce(_or, told) if told else say("the keeper")


def _or(first: str, last: str) -> Said:
    return say("{first} or {last}", first=first, last=last)
