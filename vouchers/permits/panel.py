"""Under which permits a voucher was taken, on its page; that there is none where there is none."""

from collections.abc import Mapping
from typing import Any

from ledger.finds.access import sees_exact_place
from ledger.people.models import Member
from ledger.words import later
from vouchers.permits import queries
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any]:
    find = voucher.find
    return {
        # Owner and area would tell a place that is kept back.
        "exact": sees_exact_place(find, member),
        "covers": [(cover, queries.dates_of(cover.permit)) for cover in queries.covers_of([find])[find.pk]],
        "written": queries.written_of(find),
    }


PANEL = VoucherPanel("permits", later("Permit or leave"), "vouchers/permits/_voucher.html", _values)
