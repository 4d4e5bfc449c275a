"""Sendings for screens."""

from django.db.models import Count, QuerySet

from vouchers.exchange.models import Sending, SentDuplicate
from vouchers.loans.numbers import PaperNumber
from vouchers.register.models import Voucher


def sendings() -> QuerySet[Sending]:
    """Newest first, each with how many duplicates went."""
    return Sending.objects.annotate(count=Count("duplicates")).order_by("-year", "-serial")


def find_sending(number: PaperNumber) -> Sending | None:
    rows = Sending.objects.select_related("made_by")
    return rows.filter(year=number.year, serial=number.serial).first()


def duplicates_of(sending: Sending) -> QuerySet[SentDuplicate]:
    return sending.duplicates.select_related("named__taxon", "part__voucher__find__finder").prefetch_related(
        "told__determination__taxon", "told__told_by"
    )


def of_voucher(voucher: Voucher) -> QuerySet[SentDuplicate]:
    rows = SentDuplicate.objects.filter(part__voucher=voucher)
    return rows.select_related("sending", "part__voucher", "named__taxon")
