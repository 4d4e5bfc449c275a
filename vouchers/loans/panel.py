"""Which parts of a voucher are or were on loan."""

from collections.abc import Mapping
from typing import Any

from ledger.people.models import Member, Role
from ledger.words import later
from vouchers.loans import queries
from vouchers.loans.due import how_due
from vouchers.loans.forms import today
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any] | None:
    items = queries.of_voucher(voucher)
    may = member.at_least(Role.CURATOR)
    may_lend = may and voucher.deaccessioned_at is None
    if not items and not may_lend:
        return None
    day = today()
    rows = [(item, how_due(item.loan.due_on, day, is_open=item.is_out)) for item in items]
    return {"rows": rows, "may_open": may, "may_lend": may_lend}


PANEL = VoucherPanel("loans", later("Loans"), "vouchers/loans/_voucher.html", _values)
