"""What came back from a loan goes into the freezer again."""

from datetime import timedelta

from ledger.people.models import Member
from tests.vouchers.loans.making import NOW, make_loan, packet
from tests.vouchers.preparation.making import prepared, step
from vouchers.loans.actions import return_items
from vouchers.preparation import order, queries

DAY = timedelta(days=1)


def test_a_packet_back_from_a_loan_waits_for_the_freezer_until_it_was_in_it(curator: Member):
    part = packet(curator, specimen_state="air-dry")
    find = part.voucher.find
    prepared(find, curator, start=NOW - 30 * DAY)
    loan = make_loan(curator, part)
    assert queries.back_from_loan() == []
    return_items(loan.pk, {part.pk: "as it left"}, by=curator, now=NOW + 60 * DAY)
    assert [row.find for row in queries.back_from_loan()] == [find]
    step([find], order.INTO_FREEZER, curator, NOW + 61 * DAY, days=7.0)
    assert queries.back_from_loan() == []


def test_a_packet_with_no_log_at_all_waits_too(curator: Member):
    part = packet(curator)
    loan = make_loan(curator, part)
    return_items(loan.pk, {part.pk: "as it left"}, by=curator, now=NOW + 60 * DAY)
    assert [row.find for row in queries.back_from_loan()] == [part.voucher.find]
