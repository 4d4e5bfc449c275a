"""What came back from a loan goes into the freezer again."""

from datetime import timedelta

import pytest

from ledger.people.models import Member
from tests.vouchers.loans.making import NOW, make_loan, packet
from tests.vouchers.preparation.making import NO_TIME, prepared, put_in, step
from vouchers.loans.actions import return_items
from vouchers.preparation import order, queries
from vouchers.preparation.actions import PreparationRefused, record, withdraw
from vouchers.preparation.models import PreparationStep

DAY = timedelta(days=1)


def test_a_packet_back_from_a_loan_waits_for_the_freezer_until_it_was_in_it(curator: Member):
    part = packet(curator, specimen_state="air-dry")
    find = part.voucher.find
    prepared(find, curator, start=NOW - 30 * DAY)
    loan = make_loan(curator, part)
    assert queries.back_from_loan() == []
    return_items(loan.pk, {part.pk: "whole"}, by=curator, now=NOW + 60 * DAY)
    assert [row.find for row in queries.back_from_loan()] == [find]
    step([find], order.INTO_FREEZER, curator, NOW + 61 * DAY, days=7.0)
    assert queries.back_from_loan() == []


def test_of_all_that_ever_came_back_only_what_waits_is_gone_through(
    curator: Member, monkeypatch: pytest.MonkeyPatch
):
    """A collection has lent for a hundred years; the page of each voucher asks this."""
    parts = [packet(curator, specimen_state="air-dry") for _ in range(3)]
    for part in parts:
        prepared(part.voucher.find, curator, start=NOW - 30 * DAY)
        return_items(make_loan(curator, part).pk, {part.pk: "whole"}, by=curator, now=NOW + 60 * DAY)
    step([parts[0].voucher.find], order.INTO_FREEZER, curator, NOW + 61 * DAY, days=7.0)
    gone_through = []
    steps_of = queries.steps_of
    monkeypatch.setattr(queries, "steps_of", lambda finds: gone_through.append(set(finds)) or steps_of(finds))
    waiting = [part.voucher.find for part in parts[1:]]
    assert {row.find for row in queries.back_from_loan()} == set(waiting)
    assert [row.find for row in queries.back_from_loan(waiting[0])] == [waiting[0]]
    assert gone_through == [set(waiting), {waiting[0]}]


def test_a_freezing_that_was_withdrawn_leaves_it_waiting(curator: Member):
    part = packet(curator, specimen_state="air-dry")
    prepared(part.voucher.find, curator, start=NOW - 30 * DAY)
    return_items(make_loan(curator, part).pk, {part.pk: "whole"}, by=curator, now=NOW + 60 * DAY)
    step([part.voucher.find], order.INTO_FREEZER, curator, NOW + 61 * DAY, days=7.0)
    assert queries.back_from_loan() == []
    withdraw(
        PreparationStep.objects.latest("pk").pk, words="it was another packet", by=curator, now=NOW + 62 * DAY
    )
    assert [row.find for row in queries.back_from_loan()] == [part.voucher.find]


def test_what_is_on_loan_goes_into_no_drier_and_no_freezer(curator: Member):
    part, here = packet(curator), packet(curator)
    make_loan(curator, part)
    number = part.voucher.find.collecting_number
    with pytest.raises(PreparationRefused, match=f"{number}: its packet {part.number} is on loan L2026-001"):
        put_in([part.voucher.find, here.voucher.find], curator, at=NOW + DAY, why_not=NO_TIME)
    with pytest.raises(PreparationRefused, match="Note its return first"):
        step([part.voucher.find], order.INTO_FREEZER, curator, NOW + DAY)
    assert not PreparationStep.objects.exists()


def test_what_was_done_before_it_left_is_entered_afterwards(curator: Member):
    part = packet(curator, specimen_state="air-dry")
    make_loan(curator, part)
    find = [part.voucher.find.pk]
    record(find, order.TISSUE, at=NOW - DAY, by=curator, now=NOW + DAY)
    record(find, order.TISSUE, at=NOW - DAY / 24, by=curator, now=NOW + DAY)
    assert PreparationStep.objects.count() == 2


def test_what_came_back_is_prepared_again_and_not_for_the_time_it_was_away(curator: Member):
    part = packet(curator, specimen_state="air-dry")
    return_items(make_loan(curator, part).pk, {part.pk: "whole"}, by=curator, now=NOW + 60 * DAY)
    with pytest.raises(PreparationRefused, match="was away at that time"):
        record([part.voucher.find_id], order.TISSUE, at=NOW + 9 * DAY, by=curator, now=NOW + 61 * DAY)
    step([part.voucher.find], order.TISSUE, curator, NOW + 61 * DAY)


def test_a_packet_with_no_log_at_all_waits_too(curator: Member):
    part = packet(curator)
    loan = make_loan(curator, part)
    return_items(loan.pk, {part.pk: "whole"}, by=curator, now=NOW + 60 * DAY)
    assert [row.find for row in queries.back_from_loan()] == [part.voucher.find]
