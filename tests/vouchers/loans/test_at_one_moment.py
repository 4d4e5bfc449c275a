"""Several people at one moment: a part goes once, and no number is given twice or left out."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from ledger.people.models import Member
from tests.people import make_person
from tests.vouchers.exchange.test_actions import duplicate, sent
from tests.vouchers.loans.making import LATER, NOW, make_loan, packet
from vouchers.loans.actions import note_lost, return_items
from vouchers.loans.models import Condition, Loan, LoanItem
from vouchers.loans.refusals import LoanRefused
from vouchers.parts.actions import PartRefused, end_part
from vouchers.register.actions import DeaccessionRefused, deaccession

pytestmark = pytest.mark.django_db(transaction=True)
REFUSALS = (LoanRefused, PartRefused, DeaccessionRefused)


@pytest.fixture
def curator() -> Member:
    return make_person("curator")


def at_once(*acts: Callable[[], Any]) -> list[str]:
    """Run the acts in threads that start together; what each came to: done, or the sentence of its refusal."""
    start = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> str:
        try:
            start.wait(timeout=30)
            act()
        except REFUSALS as refusal:
            return str(refusal)
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def test_one_part_is_lent_once(curator: Member) -> None:
    part = packet(curator)
    came_to = at_once(*[lambda: make_loan(curator, part)] * 8)
    assert sorted(said == "done" for said in came_to) == [False] * 7 + [True]
    assert all("cannot leave twice" in said for said in came_to if said != "done")
    assert LoanItem.objects.count() == 1
    assert [str(loan) for loan in Loan.objects.all()] == ["L2026-001"]


def test_many_loans_have_numbers_without_a_gap(curator: Member) -> None:
    parts = [packet(curator) for _ in range(12)]
    came_to = at_once(*[lambda part=part: make_loan(curator, part) for part in parts])  # type: ignore[misc]
    assert came_to == ["done"] * 12
    assert sorted(Loan.objects.values_list("serial", flat=True)) == list(range(1, 13))


def test_loans_that_name_the_same_parts_in_other_orders_do_not_wait_for_each_other(curator: Member) -> None:
    parts = [packet(curator) for _ in range(4)]
    came_to = at_once(*[lambda: make_loan(curator, *parts), lambda: make_loan(curator, *reversed(parts))] * 3)
    assert came_to.count("done") == 1
    assert LoanItem.objects.count() == 4


@pytest.mark.parametrize("other", ["send", "end", "deaccession"])
def test_a_duplicate_is_lent_or_leaves_for_good_but_not_both(curator: Member, other: str) -> None:
    part = duplicate(curator)
    leave = {
        "send": lambda: sent(curator, part),
        "end": lambda: end_part(part.pk, why="eaten by beetles", by=curator, now=NOW),
        "deaccession": lambda: deaccession(
            part.voucher_id, reason="lost", words="looked for everywhere", by=curator, now=NOW
        ),
    }[other]
    came_to = at_once(lambda: make_loan(curator, part), leave)
    assert came_to.count("done") == 1
    part.refresh_from_db()
    assert (part.ended_at is not None) != LoanItem.objects.out().filter(part=part).exists()


def test_a_part_comes_back_or_is_lost_but_not_both(curator: Member) -> None:
    part = packet(curator)
    loan = make_loan(curator, part)
    item = loan.items.get()
    came_to = at_once(
        lambda: return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER),
        lambda: note_lost(item.pk, words="lost in the post", by=curator, now=LATER),
        lambda: return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER),
    )
    assert came_to.count("done") == 1
    item.refresh_from_db()
    assert (item.returned_at is None) != (item.lost_at is None)
    assert Condition.objects.count() == (1 if item.returned_at else 0)
