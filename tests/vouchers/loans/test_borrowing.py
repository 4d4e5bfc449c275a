from datetime import date
from typing import Any

import pytest

from ledger.club.models import Club
from ledger.people.models import Member
from tests.vouchers.loans.making import LATER, NOW
from vouchers.loans import borrowing
from vouchers.loans.borrowing import BorrowingTerms, ItemIn, item_of_line
from vouchers.loans.models import BorrowedItem, Borrowing, Prolonging
from vouchers.loans.refusals import LoanRefused
from vouchers.parts.models import Part
from vouchers.register.models import Voucher

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _club(db: None) -> None:
    Club.objects.create(accession_prefix="HFG")


def borrowed(by: Member, *items: ItemIn, **given: Any) -> Borrowing:
    usual: dict[str, Any] = {
        "institution": "Royal Fungarium",
        "person": "Dr Ola Reed",
        "address": "",
        "their_number": "RF/26/411",
        "purpose": "to compare with our Trametes",
        "terms": "",
        "received_on": date(2026, 11, 1),
        "due_on": date(2027, 5, 1),
    }
    return borrowing.borrow(BorrowingTerms(**(usual | given)), items, by=by, now=NOW)


def test_a_line_holds_number_name_and_condition() -> None:
    assert item_of_line("K(M) 21040 | Trametes  gibbosa |sound | whole") == ItemIn(
        "K(M) 21040", "Trametes gibbosa", "sound | whole"
    )
    assert item_of_line("K(M) 21040") == ItemIn("K(M) 21040")


def test_borrowed_material_gets_a_series_of_its_own_and_no_number_of_ours(curator: Member) -> None:
    taken = borrowed(curator, ItemIn("K(M) 21040", "Trametes gibbosa"), ItemIn("K(M) 21041"))
    assert str(taken) == "B2026-001"
    assert [item.their_number for item in taken.items.all()] == ["K(M) 21040", "K(M) 21041"]
    assert not Voucher.objects.exists()
    assert not Part.objects.exists()


@pytest.mark.parametrize(
    "typed", ["HFG 2026-0001", "hfg2026/1", "HFG 2026-0001 S1", "2026-0001", "HFG PLACE 3"]
)
def test_a_number_that_reads_as_one_of_ours_is_refused(curator: Member, typed: str) -> None:
    with pytest.raises(LoanRefused, match="reads as a number of our own"):
        borrowed(curator, ItemIn("K(M) 21040"), ItemIn(typed))
    assert not BorrowedItem.objects.exists()


def test_a_number_like_ours_of_another_club_is_taken(curator: Member) -> None:
    assert borrowed(curator, ItemIn("XYZ 2026-0001")).items.count() == 1


@pytest.mark.parametrize(
    ("items", "said"),
    [
        ([], "No specimen was named"),
        ([ItemIn("K1"), ItemIn("k1")], "stands in the list twice"),
        ([ItemIn("", "Trametes")], "has no number before its first bar"),
        ([ItemIn("K" * 61)], "longer than 60 signs"),
        ([ItemIn(f"K{n}") for n in range(201)], "too many"),
    ],
)
def test_a_list_that_cannot_be_is_refused(curator: Member, items: list[ItemIn], said: str) -> None:
    with pytest.raises(LoanRefused, match=said):
        borrowed(curator, *items)
    assert not Borrowing.objects.exists()


def test_it_cannot_have_come_tomorrow(curator: Member) -> None:
    with pytest.raises(LoanRefused, match="still to come"):
        borrowed(curator, ItemIn("K1"), received_on=date(2026, 11, 3))


def test_some_go_back_and_the_others_stay_on_record_as_here(curator: Member) -> None:
    taken = borrowed(curator, ItemIn("K1"), ItemIn("K2"))
    first, second = taken.items.all()
    borrowing.give_back(taken.pk, {first.pk: "as it came"}, by=curator, now=LATER)
    assert [item.pk for item in BorrowedItem.objects.here()] == [second.pk]


def test_what_went_back_or_was_never_borrowed_does_not_go_back(curator: Member) -> None:
    taken, other = borrowed(curator, ItemIn("K1")), borrowed(curator, ItemIn("K2"))
    item = taken.items.get()
    borrowing.give_back(taken.pk, {item.pk: ""}, by=curator, now=LATER)
    with pytest.raises(LoanRefused, match="went back on 2 December 2026 already"):
        borrowing.give_back(taken.pk, {item.pk: ""}, by=curator, now=LATER)
    with pytest.raises(LoanRefused, match="is not of this loan"):
        borrowing.give_back(taken.pk, {other.items.get().pk: ""}, by=curator, now=LATER)
    assert other.items.here().count() == 1


def test_a_later_day_is_on_record(curator: Member) -> None:
    taken = borrowed(curator, ItemIn("K1"))
    borrowing.prolong_borrowing(taken.pk, due_on=date(2027, 9, 1), why="Reed, by mail", by=curator, now=LATER)
    taken.refresh_from_db()
    assert (taken.due_on, Prolonging.objects.get().from_due) == (date(2027, 9, 1), date(2027, 5, 1))


def test_no_earlier_day_is_taken(curator: Member) -> None:
    taken = borrowed(curator, ItemIn("K1"))
    with pytest.raises(LoanRefused, match="not after the present due date"):
        borrowing.prolong_borrowing(taken.pk, due_on=date(2027, 4, 1), why="x", by=curator, now=LATER)
