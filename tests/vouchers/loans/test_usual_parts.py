"""A loan of more parts than the trade lends at once says so; it is no refusal."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from tests.vouchers.loans.making import make_loan, make_voucher, other_part
from vouchers.loans.models import Loan

SAID = "A loan has 20 parts at most as a rule"


def loan_of(many: int, by: Member) -> Loan:
    voucher = make_voucher(by)
    slides = [other_part(voucher, "slide", by) for _ in range(many)]
    return make_loan(by, *slides)


@pytest.mark.parametrize(("many", "is_said"), [(20, False), (21, True)])
def test_a_loan_of_more_than_twenty_parts_says_that_it_is_large(
    many: int, is_said: bool, curator: Member, browser_of: Callable[[Member], Client]
) -> None:
    loan = loan_of(many, curator)
    page = browser_of(curator).get(reverse("loan", args=[str(loan)])).content.decode()
    assert (SAID in page) is is_said
    assert (f"this one has {many}" in page) is is_said
