"""Vouchers for screens and labels."""

from django.core.paginator import Page, Paginator
from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from ledger.bench.models import Determination, Flag
from ledger.club.models import Club
from ledger.club.queries import the_club
from ledger.finds.models import Find, Reading, Status
from vouchers.register.models import RegisterYear, Voucher
from vouchers.register.numbers import (
    AccessionNumber,
    AccessionNumberError,
    parse_accession_number,
)
from vouchers.register.search import Found, in_order

# Beyond it nobody counts what waits for a number: it is too many.
MOST_COUNTED = 1000


def for_list() -> QuerySet[Voucher]:
    """Vouchers, newest number first, with what a row of a list shows."""
    return Voucher.objects.select_related("find__finder", "find__foray", "find__current_determination__taxon")


def page_for(
    rows: QuerySet[Voucher], typed: str, number: str | None, *, per_page: int, by_locality: bool = False
) -> tuple["Page[Voucher]", bool]:
    """One page out of *rows* of what answers to what was typed, newest number first; and whether more go on uncounted.

    A whole accession number finds that voucher alone. Else: year and serial without the prefix, a collecting number
    (PR 30, PR30), a finder, or a name ever given to the find, accepted names and synonyms included. `by_locality`
    searches the words of the place too, which are for curators only.
    """
    asked = _of_number(typed) if typed else Q()
    if asked is not None:
        return Paginator(rows.filter(asked), per_page).get_page(number), False
    wanted = max(1, int(number)) if number and number.isdecimal() and len(number) < 6 else 1
    keys, are_all = Found(typed, by_locality=by_locality).up_to(wanted * per_page + 1)
    page = Paginator(keys, per_page).get_page(wanted)
    page.object_list = in_order(page.object_list, rows)
    return page, not are_all


def keys_for(typed: str, *, most: int, by_locality: bool = False) -> list[int]:
    """The vouchers that answer as for `page_for`, in the order of their numbers; of too many, *most* of them."""
    asked = _of_number(typed) if typed else Q()
    if asked is not None:
        rows = Voucher.objects.filter(asked).order_by("year", "serial")
        return list(rows.values_list("pk", flat=True)[:most])
    keys, _ = Found(typed, by_locality=by_locality).up_to(most)
    return keys[:most][::-1]


def _of_number(typed: str) -> Q | None:
    """The voucher of a whole accession number, as a condition; None where it is none."""
    try:
        number = parse_accession_number(typed)
    except AccessionNumberError:
        return None
    return Q(prefix=number.prefix, year=number.year, serial=number.serial)


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
