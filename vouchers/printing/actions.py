"""Vouchers to a PDF: gather plain values, hand them to the labels room."""

from collections.abc import Sequence
from datetime import datetime

from ledger.club.models import Club
from ledger.people.models import Member
from vouchers.labels.content import Label
from vouchers.labels.pdf import Printed, render
from vouchers.labels.refusals import Refusal
from vouchers.printing.gather import determination_slip, packet_label
from vouchers.printing.history import slip_refusal
from vouchers.printing.open_flags import open_flags, stop_refusal
from vouchers.register.models import Voucher

SLIPS = "slips"


def print_labels(
    vouchers: Sequence[Voucher], *, sheet: str, paper: str, club: Club, member: Member, now: datetime
) -> Printed:
    """Return the PDF and the labels refused by name, in the order of the vouchers.

    A slip carries the current determination of its packet, if that is a later one. Nothing is printed of a find on
    which a stop flag is open: the paper would outlast the decision.
    """
    refused: dict[str, Refusal] = {}
    labels: list[Label] = []
    for voucher in vouchers:
        number = str(voucher)
        if sentence := stop_refusal(open_flags(voucher.find, member), number):
            refused[number] = Refusal(number, "Flags", sentence)
        elif sheet == SLIPS and (sentence := slip_refusal(voucher.find, number)):
            refused[number] = Refusal(number, "Det.", sentence)
        elif sheet == SLIPS:
            labels.append(determination_slip(voucher, club))
        else:
            labels.append(packet_label(voucher, club, member))
    printed = render(labels, sheet, paper, made_at=now) if labels else Printed(None, ())
    refused |= {refusal.accession_number: refusal for refusal in printed.refused}
    numbers = [str(voucher) for voucher in vouchers]
    return Printed(printed.pdf, tuple(refused[number] for number in numbers if number in refused))
