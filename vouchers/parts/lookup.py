"""From a code, scanned or typed, to the part that bears it."""

from ledger.words import say, together
from vouchers.codes import PartCode, VoucherCode
from vouchers.parts.models import Part
from vouchers.register.lookup import CodeRefused, not_a_part, read, voucher_of_number

__all__ = ["CodeRefused", "part_of_code"]


def part_of_code(text: str) -> Part:
    """Return the part with that code; a bare accession number is that of the first packet.

    Also one that ended: whoever scans it must be told that it ended, and decide. CodeRefused with a sentence for an
    unknown code, one of another collection, a place, a number never given, a suffix never made.
    """
    code = read(text)
    if not isinstance(code, VoucherCode | PartCode):
        raise CodeRefused(not_a_part(code))
    voucher = voucher_of_number(code.number)
    suffix = code.suffix if isinstance(code, PartCode) else ""
    part = Part.objects.filter(voucher=voucher, suffix=suffix).first()
    if part is None:
        there = [row or say("the packet") for row in voucher.parts.values_list("suffix", flat=True)]
        raise CodeRefused(
            say(
                "{voucher} has no part {suffix}. Nothing was changed. On record: {parts}. If this part exists, take it on "
                "the record on the page of the voucher.",
                voucher=voucher,
                suffix=suffix,
                parts=together(there, ", "),
            )
        )
    part.voucher = voucher
    return part
