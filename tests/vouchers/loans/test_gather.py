from datetime import timedelta
from typing import Any

import pytest

from ledger.club.models import Club
from ledger.people.models import Member
from tests.vouchers.loans.making import NOW, make_loan, make_voucher, other_part, packet
from tests.vouchers.preparation.making import prepared
from tests.vouchers.sampling.test_actions import asked, granted
from vouchers.loans.actions import note_condition, return_items
from vouchers.loans.gather import loan_form

pytestmark = pytest.mark.django_db


def test_each_item_is_named_without_its_place(curator: Member, collector: Member) -> None:
    part = packet(curator, finder=collector, collecting_serial=118, locality="Hollin Wood, below the quarry")
    (item,) = loan_form(make_loan(curator, part), Club(name="Hollin")).items
    assert item.number == part.number
    assert item.name == (("Trametes versicolor", True),)
    assert item.gathering == "Ada Thorne, AT 118, 3 October 2026"
    assert "quarry" not in repr(item)
    assert "51.2" not in repr(item)


def test_a_specimen_without_a_permit_says_so(curator: Member) -> None:
    (item,) = loan_form(make_loan(curator, packet(curator)), Club()).items
    assert "no permit" in item.permission.lower()


def test_the_condition_is_that_of_leaving(curator: Member) -> None:
    loan = make_loan(curator, packet(curator))
    note_condition(loan.items.get().pk, "out", "two caps", by=curator, now=NOW)
    assert loan_form(loan, Club()).items[0].condition == "two caps"


def test_only_a_granted_leave_is_named(curator: Member) -> None:
    first, second = packet(curator), packet(curator)
    granted(curator, first)
    asked(curator, second)
    items = loan_form(make_loan(curator, first, second), Club()).items
    assert items[0].leave.startswith("C2026-001 of 2 November 2026, to Dr Kofi Lind: 5 mm² of the flesh")
    assert items[1].leave == ""


def test_more_items_cost_no_more_queries(curator: Member, django_assert_max_num_queries: Any) -> None:
    voucher = make_voucher(curator)
    parts = [voucher.parts.get(), *(other_part(voucher, "slide", curator) for _ in range(3))]
    loan = make_loan(curator, *parts, *(packet(curator) for _ in range(4)))
    with django_assert_max_num_queries(7):
        assert len(loan_form(loan, Club()).items) == 8


def test_what_has_no_freezing_on_record_is_named_on_the_form(curator: Member) -> None:
    frozen, bare = packet(curator, specimen_state="air-dry"), packet(curator)
    slide = other_part(bare.voucher, "slide", curator)
    prepared(frozen.voucher.find, curator, start=NOW - timedelta(days=30))
    assert loan_form(make_loan(curator, frozen, slide), Club()).not_frozen == ()
    assert loan_form(make_loan(curator, bare), Club()).not_frozen == (bare.number,)


def test_what_came_back_and_was_not_frozen_since_is_not_called_frozen(curator: Member) -> None:
    part = packet(curator, specimen_state="air-dry")
    prepared(part.voucher.find, curator, start=NOW - timedelta(days=30))
    return_items(make_loan(curator, part).pk, {part.pk: "whole"}, by=curator, now=NOW + timedelta(days=9))
    again = make_loan(curator, part, now=NOW + timedelta(days=10))
    assert loan_form(again, Club()).not_frozen == (part.number,)
