"""Who should hear that a specimen bears another name now."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from ledger.bench.models import Determination
from vouchers.exchange.models import SentDuplicate, ToldOfName
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class News:
    """A receiver who has the name `known` on the duplicate (None: no name), where it is `today` here."""

    duplicate: SentDuplicate
    known: Determination | None
    today: Determination


def tells_another_name(known: Determination | None, today: Determination) -> bool:
    """Whether the later opinion is another name. The same name confirmed, on other grounds or by somebody else, is none."""
    if known is None:
        return bool(today.name_typed)
    if known.taxon_id is not None and known.taxon_id == today.taxon_id:
        return known.qualifier != today.qualifier
    return " ".join(known.name_typed.split()).casefold() != " ".join(today.name_typed.split()).casefold()


def news(rows: QuerySet[SentDuplicate] | None = None) -> list[News]:
    """All who should hear of a name, the oldest sending first; two queries however many.

    What a receiver knows is the name at sending, or the last one they were told.
    """
    rows = SentDuplicate.objects.all() if rows is None else rows
    rows = (
        rows.filter(part__voucher__find__current_determination__isnull=False)
        .select_related("sending", "named__taxon", "part__voucher__find__current_determination__taxon")
        .prefetch_related(
            Prefetch(
                "told", ToldOfName.objects.select_related("determination__taxon").order_by("told_at", "id")
            )
        )
        .order_by("sending__year", "sending__serial", "pk")
    )
    return list(_news(rows))


def news_of(voucher: Voucher) -> list[News]:
    return news(SentDuplicate.objects.filter(part__voucher=voucher))


def _news(rows: Iterable[SentDuplicate]) -> Iterable[News]:
    for row in rows:
        told = list(row.told.all())
        known = told[-1].determination if told else row.named
        today = row.part.voucher.find.current_determination
        if tells_another_name(known, today):
            yield News(row, known, today)
