"""From a code, scanned or typed, to the voucher it names; or a sentence that says what is wrong with it."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from ledger.club.queries import the_club
from vouchers.codes import (
    Code,
    ForeignCode,
    PartCode,
    PlaceCode,
    TrayCode,
    UnknownCode,
    VoucherCode,
    read_code,
)
from vouchers.register.models import RegisterYear, Voucher
from vouchers.register.numbers import AccessionNumber
from vouchers.register.queries import example_number, for_page, own_prefixes


class CodeRefused(ValueError):
    """The code names nothing of ours that was asked for; the text says what was read, and what to do."""


def read(text: str) -> Code:
    """Read a code against the prefixes of this club."""
    return read_code(text, own_prefixes())


def voucher_of_code(text: str) -> Voucher:
    """The voucher whose code, or a part's code, was read. CodeRefused: for any other, and for a number never given."""
    code = read(text)
    if isinstance(code, VoucherCode | PartCode):
        return voucher_of_number(code.number)
    raise CodeRefused(not_a_part(code))


def voucher_of_number(number: AccessionNumber) -> Voucher:
    voucher = for_page(number)
    if voucher is None:
        raise CodeRefused(never_given(number))
    return voucher


def not_a_part(code: Code) -> str:
    """Why this code names no voucher and no part of one."""
    if isinstance(code, ForeignCode):
        return (
            f"{code.text} is not one of ours: the prefix {code.prefix} belongs to another collection. Nothing was "
            "changed. Borrowed specimens stand under Loans; look at the packet again if it should be ours."
        )
    if isinstance(code, PlaceCode | TrayCode):
        what = "a place of the store" if isinstance(code, PlaceCode) else "a tray"
        return f"{code.text} is {what}, not a specimen. Nothing was changed. Scan the packet."
    read_as = f"“{code.text}”" if isinstance(code, UnknownCode) and code.text else "Nothing"
    return (
        f"{read_as} is no code of this collection. Nothing was changed. A number looks like "
        f"{example_number(the_club())}; a part of it has a letter and a number behind, such as S1."
    )


def never_given(number: AccessionNumber) -> str:
    """What to say of a number of ours that has no voucher."""
    year = RegisterYear.objects.filter(prefix=number.prefix, year=number.year).first()
    if year is None or not year.last_serial:
        told = f"no number of {number.year} was given"
    else:
        told = f"the last of {number.year} is {AccessionNumber(number.prefix, number.year, year.last_serial)}"
    return f"{number} was never given: {told}. Nothing was changed. Compare it with the packet, figure by figure."


def with_voucher(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Give a view whose address holds a number the voucher itself; a number that is none of ours is told so, 404."""

    @wraps(view)
    def looked_up(request: HttpRequest, number: str, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            voucher = voucher_of_code(number)
        except CodeRefused as refusal:
            shown = {"refusal": str(refusal), "typed": number[:60]}
            return render(request, "vouchers/register/no_voucher.html", shown, status=404)
        return view(request, voucher, *args, **kwargs)

    return looked_up
