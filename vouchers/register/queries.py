"""Vouchers for screens and labels."""

from django.db.models import Prefetch, Q, QuerySet

from ledger.finds.models import Reading
from vouchers.register.models import Voucher
from vouchers.register.numbers import AccessionNumberError, parse_accession_number


def for_list(typed: str = "") -> QuerySet[Voucher]:
    """Vouchers, newest number first; narrowed to a number, a collecting number, a name or a finder as typed."""
    rows = Voucher.objects.select_related("find__finder", "find__foray", "find__current_determination__taxon")
    if not typed:
        return rows
    try:
        number = parse_accession_number(typed)
    except AccessionNumberError:
        code, _, serial = typed.partition(" ")
        asked = Q(find__current_determination__name_typed__icontains=typed) | Q(
            find__finder__full_name__icontains=typed
        )
        if serial.isdigit():
            asked |= Q(find__collecting_code=code.upper(), find__collecting_serial=int(serial[:9]))
        return rows.filter(asked)
    return rows.filter(prefix=number.prefix, year=number.year, serial=number.serial)


def for_labels(ids: list[int]) -> list[Voucher]:
    """The vouchers with all a label says, in the order asked for; four queries however many."""
    rows = (
        Voucher.objects.filter(pk__in=ids)
        .select_related("find__finder", "find__foray", "find__current_determination__taxon")
        .select_related("find__current_determination__determiner")
        .prefetch_related(Prefetch("find__readings", Reading.objects.filter(ended_at__isnull=True)))
    )
    by_id = {row.pk: row for row in rows}
    return [by_id[one] for one in ids if one in by_id]
