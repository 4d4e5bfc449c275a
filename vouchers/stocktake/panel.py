"""Where a voucher's parts were seen last, and their moves in the store."""

from collections.abc import Mapping
from typing import Any

from ledger.people.models import Member
from ledger.words import later
from vouchers.parts.models import Part
from vouchers.register.models import Voucher
from vouchers.register.panels import VoucherPanel
from vouchers.stocktake.queries import last_seen
from vouchers.store.models import Move
from vouchers.store.queries import Tree, part_rows

MOST_MOVES = 12


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any] | None:
    parts = list(Part.objects.with_number().filter(voucher=voucher))
    moves = Move.objects.filter(part__voucher=voucher).select_related(
        "part__voucher", "from_place", "to_place", "by"
    )
    shown = list(moves.order_by("-pk")[:MOST_MOVES])
    seen = last_seen(part.pk for part in parts)
    if not shown and not seen:
        return None
    tree = Tree.load()
    rows = [
        (row, seen[row.part.pk].sentence(tree.words, row.part.place_id) if row.part.pk in seen else "")
        for row in part_rows(parts, tree)
        if row.part.ended_at is None
    ]
    return {"rows": rows, "moves": shown}


PANEL = VoucherPanel("store", later("In the store"), "vouchers/stocktake/_voucher.html", _values)
