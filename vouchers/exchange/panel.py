"""Where duplicates of a voucher went, and who should hear of its name."""

from collections.abc import Mapping
from typing import Any

from ledger.people.models import Member, Role
from ledger.words import later
from vouchers.exchange import queries
from vouchers.exchange.news import news_of
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any] | None:
    rows = list(queries.of_voucher(voucher))
    if not rows:
        return None
    return {"rows": rows, "news": news_of(voucher), "may_open": member.at_least(Role.CURATOR)}


PANEL = VoucherPanel("exchange", later("Exchange"), "vouchers/exchange/_voucher.html", _values)
