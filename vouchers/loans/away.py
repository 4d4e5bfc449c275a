"""Times of parts on loan, for the store: what it looks for, moves and counts."""

from collections.abc import Iterable
from datetime import datetime, time

from django.db.models import Q
from django.utils import timezone

from ledger.days import day_text
from ledger.words import say
from vouchers.loans.models import LoanItem
from vouchers.store.absence import Away


def away_times(part_ids: Iterable[int], since: datetime | None = None) -> dict[int, list[Away]]:
    """Loans of these parts that are not over, or were not over at *since*; the earliest first."""
    still = Q(returned_at__isnull=True, lost_at__isnull=True)
    if since is not None:
        still |= Q(returned_at__gt=since) | Q(lost_at__gt=since)
    rows = LoanItem.objects.filter(still, part__in=list(part_ids)).select_related("loan").order_by("id")
    found: dict[int, list[Away]] = {}
    for item in rows:
        found.setdefault(item.part_id, []).append(_away(item))
    return found


def _away(item: LoanItem) -> Away:
    loan = item.loan
    # A loan may be entered after the parcel left; it never began later than it was entered.
    left = min(timezone.make_aware(datetime.combine(loan.lent_on, time())), loan.made_at)
    return Away(
        since=left,
        until=item.returned_at or item.lost_at,
        words=say(
            "on loan {loan} to {institution}, due {day}",
            loan=loan,
            institution=loan.institution,
            day=day_text(loan.due_on),
        ),
        entered_at=loan.made_at,
    )
