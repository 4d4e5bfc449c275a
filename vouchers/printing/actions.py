"""Vouchers to a PDF: gather plain values, hand them to the labels room."""

from collections.abc import Sequence
from datetime import datetime

from ledger.bench.models import Determination
from ledger.club.models import Club
from ledger.people.models import Member
from vouchers.labels.pdf import Printed, render
from vouchers.printing.gather import determination_slip, packet_label
from vouchers.register.models import Voucher

SLIPS = "slips"


def print_labels(
    vouchers: Sequence[Voucher], *, sheet: str, paper: str, club: Club, member: Member, now: datetime
) -> Printed:
    """Return the PDF and the labels refused by name. A slip carries the current determination of its packet."""
    if sheet == SLIPS:
        labels = [
            determination_slip(voucher.find.current_determination or Determination(), voucher, club)
            for voucher in vouchers
        ]
    else:
        labels = [packet_label(voucher, club, member) for voucher in vouchers]
    return render(labels, sheet, paper, made_at=now)
