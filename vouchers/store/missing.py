"""Which parts were looked for and not found, and were not in anybody's hand since."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Max, QuerySet

from ledger.days import short_day_text
from ledger.moments import local_day
from ledger.words import Said, say
from vouchers.loans.models import LoanItem
from vouchers.stocktake.models import Settlement, Sighting
from vouchers.stocktake.ways import STAYS_MISSING
from vouchers.store.models import Move


def missing_since(part_ids: Iterable[int]) -> dict[int, date]:
    """Part -> the day on which a stocktake settled that it stays missing; five queries at most, one where none is.

    Seen on a walk, moved or lent since, it is missing no longer. What an abandoned stocktake said does not count.
    """
    missed = Settlement.objects.filter(
        part__in=list(part_ids), way=STAYS_MISSING.code, stocktake__given_up_at__isnull=True
    )
    said = _latest(missed, "at")
    if not said:
        return {}
    in_hand = [
        _latest(Sighting.objects.filter(part__in=said, taken_back_at__isnull=True), "seen_at"),
        _latest(Move.objects.filter(part__in=said), "at"),
        _latest(LoanItem.objects.filter(part__in=said), "loan__made_at"),
    ]
    return {
        part: local_day(at)
        for part, at in said.items()
        if not any(part in seen and seen[part] > at for seen in in_hand)
    }


def missing_words(day: date | None) -> Said:
    """ "missing since 26 Nov 2026"; an empty text where it is not."""
    return say("missing since {day}", day=short_day_text(day)) if day else Said("")


def _latest(rows: QuerySet, time: str) -> dict[int, datetime]:  # type: ignore[type-arg]
    return dict(rows.order_by().values("part").annotate(last=Max(time)).values_list("part", "last"))
