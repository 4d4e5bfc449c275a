from datetime import UTC, date, datetime, timedelta

import pytest

from ledger.people.models import Member
from tests.vouchers.loans.making import LATER, NOW, make_loan, make_voucher, other_part, packet, terms
from vouchers.loans import actions, queries
from vouchers.loans.models import Condition, Loan, LoanItem, Moment, Prolonging, SentReminder, SeriesYear
from vouchers.loans.refusals import LoanAsked, LoanRefused
from vouchers.parts.actions import PartRefused, end_part
from vouchers.register.actions import DeaccessionRefused, deaccession
from vouchers.register.models import RegisterEntry
from vouchers.stocktake.actions import open_stocktake, settle
from vouchers.store.actions import move
from vouchers.store.missing import missing_since
from vouchers.store.models import StorePlace

pytestmark = pytest.mark.django_db


def test_a_loan_takes_the_next_number_of_the_year(curator: Member) -> None:
    numbers = [str(make_loan(curator, packet(curator))) for _ in range(3)]
    assert numbers == ["L2026-001", "L2026-002", "L2026-003"]


def test_the_numbers_begin_anew_with_the_year(curator: Member) -> None:
    make_loan(curator, packet(curator))
    new_year = datetime(2027, 1, 1, 0, 30, tzinfo=UTC)
    loan = make_loan(
        curator, packet(curator), now=new_year, lent_on=date(2027, 1, 1), due_on=date(2027, 7, 1)
    )
    assert str(loan) == "L2027-001"


def test_a_loan_that_is_refused_takes_no_number(curator: Member) -> None:
    with pytest.raises(LoanRefused):
        make_loan(curator)
    assert str(make_loan(curator, packet(curator))) == "L2026-001"
    assert SeriesYear.objects.get(letter="L").last_serial == 1


def test_each_part_is_an_item_of_its_own(curator: Member) -> None:
    voucher = make_voucher(curator)
    slide = other_part(voucher, "slide", curator)
    loan = make_loan(curator, slide)
    assert [item.part.number for item in queries.items_of(loan)] == [f"{voucher} S1"]


def test_a_part_on_loan_is_not_lent_again(curator: Member) -> None:
    part, other = packet(curator), packet(curator)
    make_loan(curator, part)
    with pytest.raises(LoanRefused) as refused:
        make_loan(curator, other, part)
    assert str(refused.value) == (
        f"{part.number} is on loan L2026-001 to Herbarium of Fenwick, due 2 May 2027. It cannot leave twice: note its "
        "return first, or take it off the list."
    )
    assert Loan.objects.count() == 1
    assert LoanItem.objects.count() == 1


def test_other_parts_of_the_same_voucher_may_still_go(curator: Member) -> None:
    voucher = make_voucher(curator)
    make_loan(curator, voucher.parts.get())
    assert str(make_loan(curator, other_part(voucher, "slide", curator))) == "L2026-002"


def test_a_part_that_came_back_may_go_again(curator: Member) -> None:
    part = packet(curator)
    loan = make_loan(curator, part)
    actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)
    assert str(make_loan(curator, part, now=LATER)) == "L2026-002"


def test_a_part_that_ended_is_not_lent(curator: Member) -> None:
    part = packet(curator)
    end_part(part.pk, why="eaten by beetles", by=curator, now=NOW)
    with pytest.raises(LoanRefused, match="ended on 2 November 2026: eaten by beetles"):
        make_loan(curator, part)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"due_on": date(2026, 11, 2)}, "is not after the day of lending"),
        ({"due_on": date(2062, 5, 2)}, "more than 5 years"),
        ({"lent_on": date(2026, 11, 3)}, "cannot leave on 3 November 2026, which is still to come"),
    ],
)
def test_days_that_cannot_be_are_refused(curator: Member, given: dict[str, date], said: str) -> None:
    with pytest.raises(LoanRefused, match=said):
        make_loan(curator, packet(curator), **given)
    assert not Loan.objects.exists()


def test_all_that_is_wrong_is_said_at_once(curator: Member) -> None:
    first, second = packet(curator), packet(curator)
    make_loan(curator, first, second)
    with pytest.raises(LoanRefused) as refused:
        make_loan(curator, first, second, due_on=date(2026, 1, 1))
    assert len(refused.value.sentences) == 3


def test_what_was_looked_for_and_what_is_not_frozen_is_asked_about_before_it_goes(curator: Member) -> None:
    part = packet(curator)
    place = StorePlace.objects.create(kind="box", name="Box 1", number=1)
    move([part], place, by=curator, now=NOW - timedelta(days=3))
    walk = open_stocktake(place, by=curator, now=NOW - timedelta(days=2))
    settle(
        walk.pk,
        f"missing:{part.number}:0",
        way="stays missing",
        reason="gone",
        by=curator,
        now=NOW - timedelta(days=2),
    )
    with pytest.raises(LoanAsked) as asked:
        actions.lend(terms(), [part.pk], by=curator, now=NOW, read=())
    missing, bare = asked.value.sentences
    assert missing.startswith(f"{part.number} is missing since 31 October 2026")
    assert bare.startswith(f"{part.number} is not frozen on record.")
    with pytest.raises(LoanAsked):
        actions.lend(terms(), [part.pk], by=curator, now=NOW, read=[bare])
    assert not Loan.objects.exists()
    actions.lend(terms(), [part.pk], by=curator, now=NOW, read=[bare, missing])
    assert not missing_since([part.pk])


def test_how_each_part_looks_as_it_leaves_is_noted_with_the_loan(curator: Member) -> None:
    loan = make_loan(curator, packet(curator), packet(curator), condition="whole,  margins sound")
    assert [(one.moment, one.words) for one in Condition.objects.filter(item__loan=loan)] == [
        (Moment.OUT, "whole, margins sound")
    ] * 2


class TestTheDayOfComingBack:
    def test_is_the_one_that_is_given(self, curator: Member) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        (item,) = actions.return_items(
            loan.pk, {part.pk: "whole"}, by=curator, now=LATER, came_on=date(2026, 11, 20)
        )
        assert item.returned_at is not None and item.returned_at.date() == date(2026, 11, 20)

    @pytest.mark.parametrize("day", [date(2026, 11, 1), date(2026, 12, 3)])
    def test_is_not_before_the_loan_and_not_to_come(self, curator: Member, day: date) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        with pytest.raises(LoanRefused, match="cannot have come back on"):
            actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER, came_on=day)
        assert LoanItem.objects.get().is_out


def test_as_it_left_says_nothing_where_nobody_noted_how_it_left(curator: Member) -> None:
    part, noted = packet(curator), packet(curator)
    loan = make_loan(curator, part)
    with pytest.raises(LoanRefused, match=f"How {part.number} left was not noted"):
        actions.return_items(loan.pk, {part.pk: "As it left"}, by=curator, now=LATER)
    other = make_loan(curator, noted, condition="whole")
    assert actions.return_items(other.pk, {noted.pk: "as it left"}, by=curator, now=LATER)


class TestAPartOnLoan:
    def test_is_not_ended(self, curator: Member) -> None:
        part = packet(curator)
        make_loan(curator, part)
        with pytest.raises(PartRefused, match="is on loan L2026-001"):
            end_part(part.pk, why="used up", by=curator, now=LATER)
        part.refresh_from_db()
        assert part.ended_at is None

    def test_is_not_deaccessioned_with_its_voucher(self, curator: Member) -> None:
        part = packet(curator)
        make_loan(curator, part)
        before = RegisterEntry.objects.count()
        with pytest.raises(DeaccessionRefused, match="is on loan L2026-001"):
            deaccession(part.voucher_id, reason="lost", words="looked for everywhere", by=curator, now=LATER)
        part.voucher.refresh_from_db()
        assert part.voucher.deaccessioned_at is None
        assert RegisterEntry.objects.count() == before

    def test_that_is_lost_ends_in_the_collection(self, curator: Member) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        actions.note_lost(loan.items.get().pk, words="parcel lost in the post", by=curator, now=LATER)
        part.refresh_from_db()
        assert part.ended_why == "not returned from loan L2026-001: parcel lost in the post"
        assert not LoanItem.objects.out().exists()
        assert RegisterEntry.objects.latest("number").kind == "part ended"

    def test_is_not_lost_twice(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        item = loan.items.get()
        actions.note_lost(item.pk, words="lost in the post", by=curator, now=LATER)
        with pytest.raises(LoanRefused, match="noted as lost on 2 December 2026"):
            actions.note_lost(item.pk, words="lost in the post", by=curator, now=LATER)


class TestWhatComesBack:
    def test_may_be_a_part_of_the_loan(self, curator: Member) -> None:
        first, second = packet(curator), packet(curator)
        loan = make_loan(curator, first, second)
        actions.return_items(loan.pk, {first.pk: "whole"}, by=curator, now=LATER)
        assert [item.part_id for item in loan.items.out()] == [second.pk]

    def test_is_recorded_with_time_person_and_condition(self, curator: Member, keeper: Member) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        actions.return_items(loan.pk, {part.pk: "margin  broken,\npieces kept"}, by=keeper, now=LATER)
        item = loan.items.get()
        assert (item.returned_at, item.returned_to) == (LATER, keeper)
        condition = item.conditions.get()
        assert (condition.moment, condition.words) == (Moment.BACK, "margin broken, pieces kept")

    def test_that_was_never_lent_is_refused_and_nothing_noted(self, curator: Member) -> None:
        lent, never = packet(curator), packet(curator)
        loan = make_loan(curator, lent)
        with pytest.raises(LoanRefused) as refused:
            actions.return_items(
                loan.pk, {lent.pk: "as it left", never.pk: "as it left"}, by=curator, now=LATER
            )
        assert f"{never.number} is not on loan L2026-001. It is not on loan at all." in str(refused.value)
        assert loan.items.out().count() == 1
        assert not Condition.objects.exists()

    def test_of_another_loan_is_refused_and_told_which(self, curator: Member) -> None:
        ours, theirs = packet(curator), packet(curator)
        loan = make_loan(curator, ours)
        make_loan(curator, theirs, institution="Museum of Ludlow")
        with pytest.raises(LoanRefused, match="It is on loan L2026-002 to Museum of Ludlow"):
            actions.return_items(loan.pk, {theirs.pk: "whole"}, by=curator, now=LATER)

    def test_a_second_time_is_refused(self, curator: Member) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)
        with pytest.raises(LoanRefused, match="came back on 2 December 2026 already"):
            actions.return_items(loan.pk, {part.pk: "broken"}, by=curator, now=LATER + timedelta(days=1))
        assert loan.items.get().returned_at == LATER

    @pytest.mark.parametrize("words", ["", "   ", "\u200b"])
    def test_without_a_condition_is_refused(self, curator: Member, words: str) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        with pytest.raises(LoanRefused, match="The condition of "):
            actions.return_items(loan.pk, {part.pk: words}, by=curator, now=LATER)

    def test_nothing_at_all_is_refused(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        with pytest.raises(LoanRefused, match="Nothing was ticked or scanned"):
            actions.return_items(loan.pk, {}, by=curator, now=LATER)


class TestConditions:
    def test_are_added_and_never_changed(self, curator: Member) -> None:
        item = make_loan(curator, packet(curator)).items.get()
        actions.note_condition(item.pk, "out", "two pieces", by=curator, now=NOW)
        actions.note_condition(item.pk, "out", "three pieces, counted again", by=curator, now=LATER)
        assert [one.words for one in item.conditions.all()] == ["two pieces", "three pieces, counted again"]

    def test_as_it_came_back_waits_for_the_return(self, curator: Member) -> None:
        item = make_loan(curator, packet(curator)).items.get()
        with pytest.raises(LoanRefused, match="has not come back"):
            actions.note_condition(item.pk, "back", "broken", by=curator, now=LATER)

    def test_of_no_known_moment_is_refused(self, curator: Member) -> None:
        item = make_loan(curator, packet(curator)).items.get()
        with pytest.raises(LoanRefused, match="not said whether it left"):
            actions.note_condition(item.pk, "sideways", "broken", by=curator, now=LATER)


class TestProlonging:
    def test_moves_the_due_date_and_keeps_the_old_one(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        actions.prolong(
            loan.pk, due_on=date(2027, 11, 2), why="Dahl asked, work goes on", by=curator, now=LATER
        )
        loan.refresh_from_db()
        kept = Prolonging.objects.get(loan=loan)
        assert (loan.due_on, kept.from_due, kept.to_due) == (
            date(2027, 11, 2), date(2027, 5, 2), date(2027, 11, 2),
        )  # fmt: skip

    @pytest.mark.parametrize(
        ("due_on", "why", "said"),
        [
            (date(2027, 5, 2), "asked", "is not after the present due date"),
            (date(2027, 5, 1), "asked", "is not after the present due date"),
            (date(2027, 11, 2), " ", "The reason is missing"),
        ],
    )
    def test_to_no_later_day_or_without_a_reason_is_refused(
        self, curator: Member, due_on: date, why: str, said: str
    ) -> None:
        loan = make_loan(curator, packet(curator))
        with pytest.raises(LoanRefused, match=said):
            actions.prolong(loan.pk, due_on=due_on, why=why, by=curator, now=LATER)
        loan.refresh_from_db()
        assert loan.due_on == date(2027, 5, 2)

    def test_to_a_day_that_is_over_is_refused(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        with pytest.raises(LoanRefused, match="is over or today"):
            actions.prolong(
                loan.pk,
                due_on=date(2027, 6, 1),
                why="asked",
                by=curator,
                now=datetime(2027, 8, 1, tzinfo=UTC),
            )

    def test_what_is_back_is_not_prolonged(self, curator: Member) -> None:
        part = packet(curator)
        loan = make_loan(curator, part)
        actions.return_items(loan.pk, {part.pk: "whole"}, by=curator, now=LATER)
        with pytest.raises(LoanRefused, match="nothing to prolong"):
            actions.prolong(loan.pk, due_on=date(2027, 11, 2), why="asked", by=curator, now=LATER)


class TestReminders:
    def test_that_were_sent_make_the_next_one_firmer(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        late = datetime(2027, 6, 1, 9, 0, tzinfo=UTC)
        actions.note_reminder(loan.pk, sent_on=date(2027, 5, 20), by=curator, now=late)
        assert queries.reminder_of(loan, date(2027, 6, 1), curator).sent_before == 1

    def test_begin_anew_when_the_loan_was_prolonged(self, curator: Member) -> None:
        loan = make_loan(curator, packet(curator))
        late = datetime(2027, 6, 1, 9, 0, tzinfo=UTC)
        actions.note_reminder(loan.pk, sent_on=date(2027, 5, 20), by=curator, now=late)
        loan = actions.prolong(loan.pk, due_on=date(2027, 11, 2), why="asked", by=curator, now=late)
        assert queries.reminder_of(loan, date(2027, 6, 1), curator).sent_before == 0

    @pytest.mark.parametrize("sent_on", [date(2026, 11, 1), date(2026, 12, 3)])
    def test_before_the_loan_or_to_come_are_refused(self, curator: Member, sent_on: date) -> None:
        loan = make_loan(curator, packet(curator))
        with pytest.raises(LoanRefused, match="cannot be"):
            actions.note_reminder(loan.pk, sent_on=sent_on, by=curator, now=LATER)
        assert not SentReminder.objects.exists()


class TestLists:
    def test_the_overdue_are_those_with_something_out_past_their_day(self, curator: Member) -> None:
        late = make_loan(curator, packet(curator), due_on=date(2026, 11, 20))
        back = packet(curator)
        returned = make_loan(curator, back, due_on=date(2026, 11, 10))
        make_loan(curator, packet(curator))
        actions.return_items(returned.pk, {back.pk: "whole"}, by=curator, now=LATER)
        rows = queries.overdue(date(2026, 12, 2))
        assert [(row.loan.pk, row.due.words, row.out) for row in rows] == [(late.pk, "overdue by 12 days", 1)]

    def test_the_one_that_is_latest_comes_first(self, curator: Member) -> None:
        for day in (20, 10, 15):
            make_loan(curator, packet(curator), due_on=date(2026, 11, day))
        days = [row.loan.due_on.day for row in queries.overdue(date(2026, 12, 2))]
        assert days == [10, 15, 20]

    def test_the_list_takes_one_query_however_many(
        self, curator: Member, django_assert_num_queries: object
    ) -> None:
        for _ in range(4):
            make_loan(curator, packet(curator))
        with django_assert_num_queries(1):  # type: ignore[operator]
            assert len(queries.rows_of(queries.loans_out(), date(2026, 12, 2))) == 4


def test_terms_are_kept_as_they_were_agreed(curator: Member) -> None:
    loan = make_loan(curator, packet(curator), terms="Kept dry.\nNot cut.")
    assert Loan.objects.get(pk=loan.pk).terms == terms(terms="Kept dry.\nNot cut.").terms
