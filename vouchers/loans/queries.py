"""Loans for screens, lists and other rooms."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q, QuerySet

from ledger.club.queries import the_club
from ledger.people.models import Member
from vouchers.loans.due import Due, how_due
from vouchers.loans.models import Borrowing, Loan, LoanItem
from vouchers.loans.numbers import PaperNumber
from vouchers.loans.reminders import Reminder, reminder
from vouchers.register.models import Voucher


@dataclass(frozen=True, slots=True)
class LoanRow:
    """A loan in a list, in either direction: how many items it has, how many are still out, how it stands today."""

    loan: Loan | Borrowing
    count: int
    out: int
    due: Due


def loans_out() -> QuerySet[Loan]:
    """Loans with something out still, the earliest due first."""
    rows = Loan.objects.annotate(count=Count("items"), out=_out_count()).filter(out__gt=0)
    return rows.order_by("due_on", "year", "serial")


def loans_over() -> QuerySet[Loan]:
    """Loans with nothing out any more, newest first."""
    return (
        Loan.objects.annotate(count=Count("items"), out=_out_count())
        .filter(out=0)
        .order_by("-year", "-serial")
    )


def _out_count() -> Count:
    return Count("items", filter=Q(items__returned_at__isnull=True, items__lost_at__isnull=True))


def borrowings() -> QuerySet[Borrowing]:
    """What we borrowed, what is due first on top; those that went back whole at the end."""
    here = Count("items", filter=Q(items__returned_at__isnull=True))
    return Borrowing.objects.annotate(count=Count("items"), out=here).order_by("due_on", "year", "serial")


def rows_of(loans: Iterable[Loan] | Iterable[Borrowing], today: date) -> list[LoanRow]:
    return [
        LoanRow(loan, loan.count, loan.out, how_due(loan.due_on, today, is_open=loan.out > 0))
        for loan in loans
    ]


def overdue(today: date) -> list[LoanRow]:
    """Loans that should have come back, the latest first: for the curator's page."""
    return rows_of(loans_out().filter(due_on__lt=today), today)


def find_loan(number: PaperNumber) -> Loan | None:
    rows = Loan.objects.select_related("made_by")
    return rows.filter(year=number.year, serial=number.serial).first()


def find_borrowing(number: PaperNumber) -> Borrowing | None:
    rows = Borrowing.objects.select_related("made_by")
    return rows.filter(year=number.year, serial=number.serial).first()


def items_of(loan: Loan) -> list[LoanItem]:
    """All items with number, name and what was said of their condition."""
    rows = loan.items.with_part().select_related("returned_to").prefetch_related("conditions__photos")
    return list(rows)


def of_voucher(voucher: Voucher) -> list[LoanItem]:
    """Every loan of any part of a voucher, newest first."""
    rows = LoanItem.objects.filter(part__voucher=voucher).select_related("loan", "part__voucher")
    return list(rows.order_by("-id"))


def reminder_of(loan: Loan, today: date, curator: Member) -> Reminder:
    """The text to write to the borrower now."""
    out = [item.part.number for item in loan.items.out().select_related("part__voucher")]
    sent = loan.reminders.filter(for_due=loan.due_on).values_list("sent_on", flat=True)
    return reminder(
        number=str(loan),
        collection=the_club().heading,
        person=loan.person,
        institution=loan.institution,
        lent_on=loan.lent_on,
        due_on=loan.due_on,
        due=how_due(loan.due_on, today, is_open=bool(out)),
        parts=out,
        sent_on=list(sent),
        curator=curator.full_name,
    )
