"""Which parts have no freezing on record, for what leaves the house with a sentence about it."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Max

from ledger.finds.models import Find
from vouchers.loans.models import LoanItem
from vouchers.parts.models import Part
from vouchers.preparation import order, queries


def not_frozen(parts: Iterable[Part], at: datetime) -> list[Part]:
    """Those of *parts* that beetles eat and that were not in the freezer before *at*, or not since they last came back from
    a loan. Five queries however many."""
    eaten = [part for part in parts if part.kind in queries.BEETLES_EAT]
    if not eaten:
        return []
    back: dict[int, datetime] = dict(
        LoanItem.objects.filter(part__in=[part.pk for part in eaten], returned_at__lt=at)
        .order_by()
        .values("part")
        .annotate(last=Max("returned_at"))
        .values_list("part", "last")
    )
    finds = Find.objects.filter(voucher__in={part.voucher_id for part in eaten}).select_related(None)
    rows = queries.steps_of(finds.select_related("voucher"))
    frozen = {
        row.find.voucher.pk: order.replay(step.step for step in row.steps if step.at <= at).frozen_at
        for row in rows
    }
    return [part for part in eaten if _lacks(frozen.get(part.voucher_id), back.get(part.pk))]


def _lacks(frozen_at: datetime | None, back_at: datetime | None) -> bool:
    return frozen_at is None or (back_at is not None and frozen_at < back_at)
