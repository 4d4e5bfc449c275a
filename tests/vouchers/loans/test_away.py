from datetime import UTC, date, datetime, timedelta

import pytest

from ledger.people.models import Member
from tests.vouchers.loans.making import LATER, NOW, make_loan, packet
from vouchers.loans import actions
from vouchers.loans.away import away_times
from vouchers.store.away import away_now

pytestmark = pytest.mark.django_db


def test_the_store_is_told_where_a_lent_part_is(curator: Member) -> None:
    part, here = packet(curator), packet(curator)
    make_loan(curator, part)
    assert away_now([part, here]) == {part.pk: "on loan L2026-001 to Herbarium of Fenwick, due 2 May 2027"}


def test_a_part_that_came_back_is_away_no_more(curator: Member) -> None:
    part = packet(curator)
    loan = make_loan(curator, part)
    actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)
    assert away_now([part]) == {}


def test_a_time_that_was_over_after_the_moment_asked_for_is_told(curator: Member) -> None:
    part = packet(curator)
    loan = make_loan(curator, part)
    actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)
    (time,) = away_times([part.pk], LATER - timedelta(days=1))[part.pk]
    assert time.until == LATER
    assert away_times([part.pk], LATER + timedelta(days=1)) == {}


def test_a_loan_entered_later_began_on_the_day_it_left(curator: Member) -> None:
    part = packet(curator)
    make_loan(curator, part, now=NOW, lent_on=date(2026, 10, 20))
    assert away_times([part.pk])[part.pk][0].since == datetime(2026, 10, 20, tzinfo=UTC)
