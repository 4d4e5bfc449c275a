"""The register book of a year, gathered from the rows."""

from collections import defaultdict

from django.db.models import QuerySet

from ledger.club.queries import the_club
from ledger.days import short_day_text
from ledger.exchange.people import PeopleOut
from ledger.finds.access import place_for
from ledger.finds.models import Find
from ledger.moments import short_day_of
from ledger.names.authority import cite
from ledger.paper.text import Pieces
from ledger.people.models import Member
from vouchers.register import entries
from vouchers.register.book import Book, BookRow, LaterLine
from vouchers.register.models import RegisterEntry, RegisterHead, RegisterYear, Voucher
from vouchers.register.panel import shown


def years_of_books() -> list[int]:
    """The years in which a number was given, the latest first."""
    given = RegisterYear.objects.filter(last_serial__gt=0)
    return sorted(set(given.values_list("year", flat=True)), reverse=True)


def book_of(year: int, member: Member, people: PeopleOut | None = None) -> Book:
    """Gather the book as *member* may print it; a handful of queries, however many numbers.

    A book lies open on a shelf: of a find whose place is kept back it tells the region alone, and no words that
    somebody wrote freely, whoever prints it. `people`: how they are named in a book that leaves the club; it then holds no
    words that were written freely of any number.
    """
    names = _Names(people)
    vouchers = list(
        Voucher.objects.filter(year=year)
        .select_related("find__finder", "find__foray", "find__current_determination__taxon", "accessioned_by")
        .order_by("prefix", "serial")
    )
    kept_back = {str(voucher) for voucher in vouchers if voucher.find.blur_step_deg is not None}
    followed: dict[str, list[str]] = defaultdict(list)
    for entry in _later_entries().filter(accession_number__contains=f" {year}-"):
        freely = people is None and entry.accession_number not in kept_back
        followed[entry.accession_number].append(_said(entry, names, freely=freely))
    head = RegisterHead.objects.first() or RegisterHead()
    return Book(
        year=year,
        institution=the_club().heading,
        rows=[_row(voucher, member, names, followed[str(voucher)]) for voucher in vouchers],
        earlier=_on_earlier_numbers(year, names),
        entry=head.count,
        digest=head.digest,
    )


def _later_entries() -> QuerySet[RegisterEntry]:
    return RegisterEntry.objects.exclude(kind=entries.ACCESSION).order_by("number")


class _Names:
    """People as the book names them; entries of the register have them as they were written then."""

    def __init__(self, people: PeopleOut | None) -> None:
        self.people = people
        members = Member.objects.values_list("pk", "full_name") if people else ()
        self._keys = {full_name: pk for pk, full_name in members}

    @property
    def is_open(self) -> bool:
        return self.people is None

    def of(self, member: Member, other: str = "") -> str:
        return (
            (other or member.full_name) if self.people is None else self.people.named(member.pk, other).name
        )

    def written(self, name: str) -> str:
        if self.people is None or not name:
            return name
        key = self._keys.get(name)
        return self.people.named(key).name if key is not None else ""


def _on_earlier_numbers(year: int, names: _Names) -> list[LaterLine]:
    # The body is canonical, so that the day of an entry can be looked up in it as text.
    of_year = _later_entries().filter(body__contains=f'"at":"{year}-')
    rows = [entry for entry in of_year if f" {year}-" not in entry.accession_number]
    kept_back = _kept_back({entry.accession_number for entry in rows})
    return [
        LaterLine(
            entry.accession_number,
            _said(entry, names, freely=names.is_open and entry.accession_number not in kept_back),
        )
        for entry in rows
    ]


def _kept_back(numbers: set[str]) -> set[str]:
    if not numbers:
        return set()
    years = {int(number.rpartition(" ")[2].partition("-")[0]) for number in numbers}
    vouchers = Voucher.objects.filter(year__in=years).select_related("find__current_determination__taxon")
    return {str(voucher) for voucher in vouchers if voucher.find.blur_step_deg is not None}


def _row(voucher: Voucher, member: Member, names: _Names, followed: list[str]) -> BookRow:
    find = voucher.find
    return BookRow(
        number=str(voucher),
        accessioned_on=short_day_of(voucher.accessioned_at),
        accessioned_by=names.of(voucher.accessioned_by),
        collecting_number=find.collecting_number,
        found_by=names.of(find.finder, find.found_by),
        found_on=short_day_text(find.found_on),
        place=_place(find, member),
        name=_name(find),
        is_out=voucher.deaccessioned_at is not None,
        followed=followed,
    )


def _place(find: Find, member: Member) -> str:
    place = place_for(find, member)
    words = place.locality if find.blur_step_deg is None else ""
    return ", ".join(part for part in (words, place.region, place.country) if part)


def _name(find: Find) -> Pieces:
    named = find.current_determination
    if named is None or not named.name_typed:
        return ()
    taxon = named.taxon
    cited = cite(
        named.name_typed,
        accepted=taxon.name if taxon else "",
        accepted_authority=taxon.authority if taxon else "",
    )
    accepted = (
        ((" = ", False), *((part.text, part.italic) for part in cited.accepted)) if cited.accepted else ()
    )
    return (*((part.text, part.italic) for part in cited.whole), *accepted)


def _said(entry: RegisterEntry, names: _Names, *, freely: bool) -> str:
    told = shown(entry, freely=freely)
    by = names.written(told.by)
    when = f"{short_day_of(told.at)}: " if told.at else ""
    return f"{when}{told.sentence} ({by})" if by else f"{when}{told.sentence}"
