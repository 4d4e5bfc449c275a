"""What the page of a voucher shows of its preparation."""

from collections.abc import Mapping
from typing import Any

from ledger.finds.access import sees_exact_place
from ledger.people.models import Member
from ledger.words import later
from vouchers.preparation import queries
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any]:
    return {
        "steps": queries.steps_on_record(voucher.find),
        "freely": sees_exact_place(voucher.find, member),
        "row": queries.in_hand(voucher.find),
        "back": bool(queries.back_from_loan(voucher.find)),
    }


PANEL = VoucherPanel("preparation", later("Preparation"), "vouchers/preparation/_voucher.html", _values)
