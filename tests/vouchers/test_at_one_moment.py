"""Six people with one packet or one find at one moment: each time exactly one of them does it, on either database."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from ledger.finds.models import Change
from ledger.people.models import Member
from tests.factories import FindFactory
from tests.people import make_person
from tests.vouchers.loans.making import LATER, NOW, make_loan, packet
from tests.vouchers.store.making import place
from vouchers.loans.actions import return_items
from vouchers.loans.models import LoanItem
from vouchers.loans.refusals import LoanRefused
from vouchers.parts.models import Part
from vouchers.register.actions import accession
from vouchers.register.models import RegisterEntry, RegisterYear, Voucher
from vouchers.register.verification import verify_register
from vouchers.store.actions import StoreRefused, move
from vouchers.store.models import Move

pytestmark = pytest.mark.django_db(transaction=True)
SIX = 6


@pytest.fixture
def curator() -> Member:
    return make_person("curator")


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """Run the acts in threads that start together; what each gave back, or its refusal. Anything else is raised."""
    start = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> Any:
        try:
            start.wait(timeout=30)
            return act()
        except (LoanRefused, StoreRefused) as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


def refused(came_to: list[Any]) -> list[str]:
    return [str(one) for one in came_to if isinstance(one, Exception)]


def test_one_part_is_lent_once(curator: Member) -> None:
    part = packet(curator)
    came_to = at_once(*[lambda: make_loan(curator, part)] * SIX)
    assert len(refused(came_to)) == SIX - 1
    assert LoanItem.objects.filter(part=part).count() == 1


def test_one_part_comes_back_once(curator: Member) -> None:
    part = packet(curator)
    loan = make_loan(curator, part)
    came_to = at_once(*[lambda: return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)] * SIX)
    assert len(refused(came_to)) == SIX - 1
    item = LoanItem.objects.get()
    assert (item.returned_at, item.conditions.count()) == (LATER, 1)


def test_a_part_is_moved_before_it_is_lent_or_not_at_all(curator: Member) -> None:
    part, box = packet(curator), place("Box 1")
    lend = [lambda: make_loan(curator, part)] * 3
    put = [lambda: move([part], box, by=curator, now=NOW)] * 3
    came_to = at_once(*lend, *put)
    assert len(refused(came_to[:3])) == 2
    moved = [one for one in came_to[3:] if not isinstance(one, Exception) and one.moved]
    assert len(moved) == Move.objects.count() <= 1
    assert Part.objects.get(pk=part.pk).place == (box if moved else None)
    assert all("on loan" in said for said in refused(came_to[3:]))


def test_one_part_is_moved_to_a_place_once(curator: Member) -> None:
    part, box = packet(curator), place("Box 1")
    came_to = at_once(*[lambda: move([part], box, by=curator, now=NOW)] * SIX)
    assert [len(one.moved) for one in came_to].count(1) == 1
    assert Move.objects.filter(part=part).count() == 1


def test_moves_to_different_places_follow_one_another(curator: Member) -> None:
    part = packet(curator)
    boxes = [place(f"Box {number}") for number in range(SIX)]
    came_to = at_once(*[lambda box=box: move([part], box, by=curator, now=NOW) for box in boxes])
    assert refused(came_to) == []
    moves = list(Move.objects.filter(part=part).order_by("pk"))
    assert len(moves) == SIX
    assert [one.from_place_id for one in moves] == [None, *(one.to_place_id for one in moves[:-1])]
    assert Part.objects.get(pk=part.pk).place_id == moves[-1].to_place_id


def test_one_find_gets_one_number(curator: Member) -> None:
    find = FindFactory()
    given = at_once(*[lambda: accession(find.pk, by=curator, now=NOW + timedelta(minutes=1))] * SIX)
    assert len({voucher.pk for voucher in given}) == 1
    assert (Voucher.objects.count(), Part.objects.count()) == (1, 1)
    assert RegisterYear.objects.get().last_serial == 1
    assert RegisterEntry.objects.filter(kind="accession").count() == 1
    assert Change.objects.filter(find=find, field="accession number").count() == 1
    assert verify_register().trouble is None
