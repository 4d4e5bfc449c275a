"""Vouchers to be lent, and loans of them."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from ledger.people.models import Member
from tests.factories import FindFactory, TaxonFactory, name_find
from vouchers.loans.actions import LoanTerms, lend
from vouchers.loans.models import Loan
from vouchers.parts.actions import make_part
from vouchers.parts.models import Part
from vouchers.register.actions import accession
from vouchers.register.models import Voucher

NOW = datetime(2026, 11, 2, 10, 0, tzinfo=UTC)
LATER = NOW + timedelta(days=30)


def make_voucher(by: Member, *, name: str = "Trametes versicolor", **find: Any) -> Voucher:
    """A named find with an accession number, and so a packet."""
    made = FindFactory(**find)
    if name:
        name_find(made, TaxonFactory(name=name))
    return accession(made.pk, by=by, now=NOW - timedelta(days=10))


def packet(by: Member, **given: Any) -> Part:
    part: Part = make_voucher(by, **given).parts.get()
    return part


def other_part(voucher: Voucher, kind: str, by: Member) -> Part:
    return make_part(voucher.pk, kind, by=by, now=NOW - timedelta(days=5))


def terms(**given: Any) -> LoanTerms:
    """A loan to a herbarium for six months."""
    usual: dict[str, Any] = {
        "institution": "Herbarium of Fenwick",
        "person": "Prof. Ines Dahl",
        "address": "4 Mill Lane\nFenwick",
        "used_by": "",
        "purpose": "Revision of Trametes",
        "terms": "1. Kept dry.\n2. Not cut.",
        "lent_on": date(2026, 11, 2),
        "due_on": date(2027, 5, 2),
    }
    return LoanTerms(**(usual | given))


def make_loan(by: Member, *parts: Part, now: datetime = NOW, condition: str = "", **given: Any) -> Loan:
    return lend(terms(**given), [part.pk for part in parts], by=by, now=now, condition=condition)
