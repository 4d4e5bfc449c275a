"""What a voucher consists of, and where each part is."""

from collections.abc import Mapping
from typing import Any

from ledger.finds.access import sees_exact_place
from ledger.people.models import Member, Role
from ledger.words import later
from vouchers.codes import PART_KINDS
from vouchers.parts.models import Part
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel
from vouchers.store.away import away_now
from vouchers.store.missing import missing_since, missing_words


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any]:
    parts = list(Part.objects.filter(voucher=voucher).select_related("place__parent__parent"))
    for part in parts:
        part.voucher = voucher
    away = away_now(parts)
    missing = missing_since(part.pk for part in parts if part.ended_at is None)
    may = member.at_least(Role.CURATOR) and voucher.deaccessioned_at is None
    freely = sees_exact_place(voucher.find, member)
    return {
        "rows": [(part, away.get(part.pk, ""), missing_words(missing.get(part.pk))) for part in parts],
        "freely": freely,
        "may_change": may,
        "kinds": [kind for kind in PART_KINDS if kind.letter],
    }


PANEL = VoucherPanel("parts", later("Parts"), "vouchers/parts/_voucher.html", _values)
