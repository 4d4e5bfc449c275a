"""What was asked for, granted and cut of a voucher."""

from collections.abc import Mapping
from typing import Any

from ledger.finds.access import sees_exact_place
from ledger.people.models import Member, Role
from ledger.words import later
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel
from vouchers.sampling import queries


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any] | None:
    leaves = list(queries.of_voucher(voucher))
    may = member.at_least(Role.CURATOR)
    may_ask = may and voucher.deaccessioned_at is None
    if not leaves and not may_ask:
        return None
    freely = sees_exact_place(voucher.find, member)
    return {"leaves": leaves, "freely": freely, "may_open": may, "may_ask": may_ask}


PANEL = VoucherPanel("sampling", later("Leave to cut"), "vouchers/sampling/_voucher.html", _values)
