"""How complete a voucher's record is, on its page."""

from collections.abc import Mapping
from typing import Any

from ledger.people.models import Member
from ledger.words import later
from vouchers.mids import queries
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any]:
    (row,) = queries.measured(queries.for_completeness(Voucher.objects.filter(pk=voucher.pk)))
    return {"completeness": row.completeness, "hints": row.hints, "keepers": queries.keepers()}


PANEL = VoucherPanel(
    "completeness", later("How complete its record is"), "vouchers/mids/_voucher.html", _values
)
