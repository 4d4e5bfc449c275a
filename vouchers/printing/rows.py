"""The rows of the labels page."""

from dataclasses import dataclass

from ledger.bench.models import Determination
from ledger.finds.access import Place, place_for
from ledger.people.models import Member
from vouchers.printing.history import later_determination
from vouchers.printing.open_flags import OpenFlags, open_flags
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class LabelRow:
    """A packet that can be chosen: its place as the member may see it, its open flags, its later determination."""

    voucher: Voucher
    picked: bool
    place: Place
    flags: OpenFlags
    later: Determination | None


def label_row(voucher: Voucher, member: Member, *, picked: bool) -> LabelRow:
    find = voucher.find
    return LabelRow(
        voucher=voucher,
        picked=picked,
        place=place_for(find, member),
        flags=open_flags(find, member),
        later=later_determination(find),
    )
