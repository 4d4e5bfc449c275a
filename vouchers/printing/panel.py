"""Which labels of a voucher were made, and when: that a PDF went to the printer, the ledger does not know."""

from collections.abc import Mapping
from typing import Any

from ledger.people.models import Member, Role
from ledger.words import later
from vouchers.labels.sizes import CALLED
from vouchers.printing.queries import last_prints_of
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any] | None:
    if not member.at_least(Role.LEADER):
        return None
    return {"prints": [{"row": row, "called": CALLED[row.kind]} for row in last_prints_of(voucher)]}


PANEL = VoucherPanel("printing", later("Labels made"), "vouchers/printing/_voucher.html", _values)
