"""Vouchers for screens and labels."""

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from ledger.bench.models import Determination, Flag
from ledger.club.models import Club
from ledger.club.queries import the_club
from ledger.collecting_numbers import read_collecting_number
from ledger.finds.models import Find, Reading, Status
from vouchers.register.models import RegisterYear, Voucher
from vouchers.register.numbers import (
    AccessionNumber,
    AccessionNumberError,
    parse_accession_number,
    read_year_and_serial,
)

# Beyond it nobody counts what waits for a number: it is too many.
MOST_COUNTED = 1000


def for_list(typed: str = "", *, by_locality: bool = False) -> QuerySet[Voucher]:
    """Vouchers, newest number first; narrowed to what was typed.

    A whole accession number finds that voucher alone. Else: year and serial without the prefix, a collecting number
    (PR 30, PR30), a finder, or a name ever given to the find, accepted names and synonyms included. `by_locality`
    searches the words of the place too, which are for curators only. One query, each voucher once.
    """
    rows = Voucher.objects.select_related("find__finder", "find__foray", "find__current_determination__taxon")
    if not typed:
        return rows
    try:
        number = parse_accession_number(typed)
    except AccessionNumberError:
        return rows.filter(_asked(typed, by_locality=by_locality))
    return rows.filter(prefix=number.prefix, year=number.year, serial=number.serial)


def _asked(typed: str, *, by_locality: bool) -> Q:
    named = Determination.objects.filter(
        Q(name_typed__icontains=typed)
        | Q(taxon__name__icontains=typed)
        | Q(taxon__synonyms__name__icontains=typed)
    )
    # A subquery, not a join: a find named twice stands in the list once.
    asked = Q(find__in=named.values("find_id")) | Q(find__finder__full_name__icontains=typed)
    asked |= Q(find__found_by__icontains=typed)
    if by_locality:
        asked |= Q(find__locality__icontains=typed)
    if collected := read_collecting_number(typed):
        code, serial, share = collected
        whole = Q(find__collecting_code=code, find__collecting_serial=serial)
        asked |= (whole & Q(find__collecting_suffix=share)) if share else whole
    if numbered := read_year_and_serial(typed):
        year, serial = numbered
        asked |= Q(year=year, serial=serial)
    return asked


def for_labels(ids: list[int]) -> list[Voucher]:
    """The vouchers with all a label says, in the order asked for; four queries however many."""
    rows = with_labels(
        Voucher.objects.filter(pk__in=ids)
        .select_related("find__finder", "find__foray", "find__current_determination__taxon")
        .select_related("find__current_determination__determiner")
        .prefetch_related(Prefetch("find__readings", Reading.objects.filter(ended_at__isnull=True)))
    )
    by_id = {row.pk: row for row in rows}
    return [by_id[one] for one in ids if one in by_id]


def with_labels(rows: QuerySet[Voucher]) -> QuerySet[Voucher]:
    """Fetch also what decides on a label: determinations and open flags, one query each."""
    return rows.prefetch_related(
        Prefetch("find__determinations", Determination.objects.select_related("taxon", "determiner")),
        Prefetch("find__flags", Flag.objects.filter(settled_at__isnull=True, withdrawn_at__isnull=True)),
    )


def for_page(number: AccessionNumber) -> Voucher | None:
    """The voucher with that number and all that the head of its page says, or None."""
    rows = Voucher.objects.select_related(
        "find__finder",
        "find__foray",
        "find__split_from__voucher",
        "find__current_determination__taxon",
        "accessioned_by",
        "deaccessioned_by",
    )
    return rows.filter(prefix=number.prefix, year=number.year, serial=number.serial).first()


def without_number() -> QuerySet[Find]:
    """Finds that are settled and kept and have no voucher, the oldest first. A mixture gets none; its shares do."""
    waiting = Find.objects.for_list().filter(
        # Without a voucher it has no number; said, since an index has those without one in this order.
        accession_number="",
        status=Status.SETTLED,
        kept=True,
    )
    # Not joined: a PostgreSQL takes what has no partner for one row, and sorts all instead of going by the index.
    waiting = waiting.filter(
        ~Exists(Voucher.objects.filter(find=OuterRef("pk"))),
        ~Exists(Find.objects.filter(split_from=OuterRef("pk"))),
    )
    return waiting.order_by("found_on", "collecting_code", "collecting_serial", "collecting_suffix")


def count_without_number() -> int:
    """How many they are, MOST_COUNTED + 1 at most."""
    return without_number()[: MOST_COUNTED + 1].count()


def own_prefixes() -> list[str]:
    """The club's prefix, and those it had before: numbers keep the one they were given with. For `codes.read_code`."""
    before = RegisterYear.objects.order_by("prefix").values_list("prefix", flat=True).distinct()
    return list(dict.fromkeys([the_club().accession_prefix, *before]))


def example_number(club: Club) -> str:
    """A number as this club writes them."""
    return str(AccessionNumber(club.accession_prefix, 2026, 118))
