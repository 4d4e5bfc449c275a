"""From a code, scanned or typed, to the voucher it names; or a sentence that says what is wrong with it."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from ledger.club.queries import the_club
from ledger.words import say
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
        return say(
            "{code} is not one of ours: the prefix {prefix} belongs to another collection. Nothing was changed. Borrowed "
            "specimens stand under Loans; look at the packet again if it should be ours.",
            code=code.text,
            prefix=code.prefix,
        )
    if isinstance(code, PlaceCode):
        return say(
            "{code} is a place of the store, not a specimen. Nothing was changed. Scan the packet.",
            code=code.text,
        )
    if isinstance(code, TrayCode):
        return say("{code} is a tray, not a specimen. Nothing was changed. Scan the packet.", code=code.text)
    example = example_number(the_club())
    if isinstance(code, UnknownCode) and code.text:
        return say(
            "“{code}” is no code of this collection. Nothing was changed. A number looks like {example}; a part of it has a "
            "letter and a number behind, such as S1.",
            code=code.text,
            example=example,
        )
    return say(
        "Nothing is no code of this collection. Nothing was changed. A number looks like {example}; a part of it has a "
        "letter and a number behind, such as S1.",
        example=example,
    )


def never_given(number: AccessionNumber) -> str:
    """What to say of a number of ours that has no voucher."""
    year = RegisterYear.objects.filter(prefix=number.prefix, year=number.year).first()
    if year is None or not year.last_serial:
        return say(
            "{number} was never given: no number of {year} was given. Nothing was changed. Compare it with the packet, "
            "figure by figure.",
            number=number,
            year=number.year,
        )
    return say(
        "{number} was never given: the last of {year} is {last}. Nothing was changed. Compare it with the packet, figure "
        "by figure.",
        number=number,
        year=number.year,
        last=AccessionNumber(number.prefix, number.year, year.last_serial),
    )


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
