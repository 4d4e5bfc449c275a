"""The rows of the labels page."""

from collections.abc import Container, Iterable
from dataclasses import dataclass

from ledger.bench.models import Determination
from ledger.finds.access import Place, place_for
from ledger.people.models import Member
from vouchers.printing.history import later_determination
from vouchers.printing.models import PrintedLabel
from vouchers.printing.open_flags import OpenFlags, open_flags
from vouchers.printing.queries import last_prints
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class LabelRow:
    """A packet that can be chosen: its place as the member may see it, its open flags, its later determination, the last
    print of its packet label."""

    voucher: Voucher
    picked: bool
    place: Place
    flags: OpenFlags
    later: Determination | None
    printed: PrintedLabel | None


def label_rows(vouchers: Iterable[Voucher], member: Member, *, picked: Container[int]) -> list[LabelRow]:
    """The rows of those vouchers; one query for all."""
    vouchers = list(vouchers)
    printed = last_prints([_key(voucher) for voucher in vouchers])
    return [
        LabelRow(
            voucher=voucher,
            picked=voucher.pk in picked,
            place=place_for(voucher.find, member),
            flags=open_flags(voucher.find, member),
            later=later_determination(voucher.find),
            printed=printed.get(_key(voucher)),
        )
        for voucher in vouchers
    ]


def _key(voucher: Voucher) -> str:
    return f"packet {voucher.pk}"
