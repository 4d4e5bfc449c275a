"""What the register says of a voucher: its entries, the oldest first, each as a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from ledger.finds.access import sees_exact_place
from ledger.people.models import Member
from ledger.words import later
from vouchers.register.chain import facts_of
from vouchers.register.models import RegisterEntry, Voucher
from vouchers.register.panels import VoucherPanel
from vouchers.register.sentences import sentence


@dataclass(frozen=True, slots=True)
class ShownEntry:
    number: int
    sentence: str
    by: str
    at: datetime | None


def shown(entry: RegisterEntry, *, freely: bool = True) -> ShownEntry:
    """An entry as the page and the book tell it, read from its own text. `freely` as in `sentences`."""
    facts = facts_of(entry.row)
    try:
        at = datetime.fromisoformat(str(facts.get("at")))
    except ValueError:
        at = None  # altered by hand: verify_register names it, the page still opens
    return ShownEntry(entry.number, sentence(entry.kind, facts, freely=freely), str(facts.get("by", "")), at)


def entries_of(voucher: Voucher) -> QuerySet[RegisterEntry]:
    return RegisterEntry.objects.filter(accession_number=str(voucher)).order_by("number")


def _values(voucher: Voucher, member: Member) -> Mapping[str, Any]:
    freely = sees_exact_place(voucher.find, member)
    return {"entries": [shown(entry, freely=freely) for entry in entries_of(voucher)]}


PANEL = VoucherPanel("entries", later("In the register"), "vouchers/register/_voucher.html", _values)
