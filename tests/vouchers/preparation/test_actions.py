"""Recording steps: all or nothing, in their order, with what was left out asked for and kept."""

from datetime import timedelta

import pytest

from ledger.people.models import Member
from tests.factories import FindFactory, ReadingFactory
from tests.vouchers.preparation.making import EVENING, NO_TIME, dry_kept, prepared, put_in, step
from vouchers.preparation import actions, order, queries
from vouchers.preparation.actions import Details, NotYet, PreparationRefused, RunFacts, WhyNot
from vouchers.preparation.models import DryingRun, PreparationStep, StepChanged

HOUR = timedelta(hours=1)


class TestPutInDrier:
    def test_many_finds_go_in_at_once_on_numbered_trays(self, leader: Member):
        finds = [dry_kept() for _ in range(40)]
        run = put_in(finds, leader, first_tray=1)
        steps = PreparationStep.objects.filter(run=run, kind=order.INTO_DRIER)
        assert {one.find_id: one.tray for one in steps} == {find.pk: n + 1 for n, find in enumerate(finds)}

    def test_what_was_not_done_fresh_is_asked_first_and_nothing_goes_in(self, leader: Member):
        find, dry = FindFactory(), dry_kept()
        with pytest.raises(NotYet) as caught:
            put_in([find, dry], leader)
        assert set(caught.value.asked) == {find.pk}
        assert order.SPORE_PRINT in caught.value.asked[find.pk]
        assert not DryingRun.objects.exists()
        assert not PreparationStep.objects.exists()

    def test_with_a_word_why_not_it_goes_in_and_the_word_is_on_record(self, leader: Member):
        find = FindFactory()
        ReadingFactory(find=find)
        put_in([find], leader, why_not=WhyNot(of={find.pk: "  rained  on "}, all="no time"))
        left, into = PreparationStep.objects.filter(find=find).order_by("id")
        assert (left.kind, left.words) == (order.LEFT_OUT, "rained on")
        assert "cap_width" not in left.subjects.split("|")
        assert "flexibility" in left.subjects.split("|")
        assert into.kind == order.INTO_DRIER

    def test_a_word_too_short_is_none(self, leader: Member):
        with pytest.raises(NotYet):
            put_in([FindFactory()], leader, why_not=WhyNot(all=" - "))

    def test_numbering_leaves_out_trays_in_use(self, leader: Member):
        put_in([dry_kept()], leader, first_tray=2)
        finds = [dry_kept(), dry_kept()]
        put_in(finds, leader, first_tray=1)
        assert [queries.in_hand(find).tray for find in finds] == [1, 3]

    def test_more_can_be_put_into_a_load_that_is_under_way(self, leader: Member):
        run = put_in([dry_kept()], leader)
        late = dry_kept()
        at = EVENING + 2 * HOUR
        actions.put_in_drier([late.pk], run, at=at, by=leader, now=at)
        assert queries.in_hand(late).due_at == at + 12 * HOUR

    @pytest.mark.parametrize(
        ("facts", "said"),
        [
            (RunFacts("  "), "Which drier is missing"),
            (RunFacts("oven", temperature=900), "900 °C cannot be meant"),
            (RunFacts("oven", planned_hours=0), "0 hours cannot be meant"),
            (RunFacts("oven", planned_hours=99999), "99999 hours cannot be meant"),
        ],
    )
    def test_facts_that_cannot_be_meant_are_refused(self, leader: Member, facts: RunFacts, said: str):
        with pytest.raises(PreparationRefused, match=said):
            put_in([dry_kept()], leader, facts=facts)
        assert not DryingRun.objects.exists()

    def test_temperature_and_hours_are_kept_as_entered_with_no_word_on_them(self, leader: Member):
        run = put_in([dry_kept()], leader, facts=RunFacts("stove", 160, "F", 3))
        assert (run.temperature_text, run.planned_hours) == ("160 °F", 3)


class TestRecord:
    def test_one_find_that_cannot_stops_all_and_is_named(self, leader: Member):
        inside, outside = dry_kept(), dry_kept()
        put_in([inside], leader)
        with pytest.raises(PreparationRefused) as caught:
            step([inside, outside], order.OUT_OF_DRIER, leader, EVENING + HOUR)
        assert f"{outside} cannot go “out of the drier”" in str(caught.value)
        assert queries.in_hand(inside).state.where == order.IN_DRIER

    def test_a_late_entry_that_would_contradict_a_later_one_is_refused(self, leader: Member):
        find = dry_kept()
        prepared(find, leader)
        with pytest.raises(PreparationRefused, match="in the drier"):
            step([find], order.INTO_FREEZER, leader, EVENING + HOUR)

    def test_longer_moves_the_hour_it_is_due(self, leader: Member):
        find = dry_kept()
        put_in([find], leader)
        step([find], order.LONGER, leader, EVENING + HOUR, hours=6.0)
        assert queries.in_hand(find).due_at == EVENING + 18 * HOUR

    def test_freezing_what_was_never_dried_asks_why(self, leader: Member):
        find = dry_kept()
        with pytest.raises(NotYet) as caught:
            step([find], order.INTO_FREEZER, leader, EVENING)
        assert caught.value.asked == {find.pk: (order.DRYING,)}

    def test_what_was_left_out_once_is_not_asked_twice(self, leader: Member):
        find = dry_kept()
        actions.leave_out([find.pk], [order.DRYING], words="dried on its wood", by=leader, now=EVENING)
        step([find], order.INTO_FREEZER, leader, EVENING, temperature=-20.0, days=7.0)
        assert queries.in_hand(find).due_at == EVENING + timedelta(days=7)

    @pytest.mark.parametrize(
        ("kind", "details", "said"),
        [
            (order.INTO_DRIER, Details(), "No drying run"),
            (order.LONGER, Details(), "How much longer is missing"),
            (order.LONGER, Details(hours=-2), "-2 hours cannot be meant"),
            (order.INTO_FREEZER, Details(days=4000), "4000 days cannot be meant"),
            (order.INTO_FREEZER, Details(temperature=-400), "-400 °C cannot be meant"),
            (order.LEFT_OUT, Details(), "no step that is recorded here"),
            ("boiled", Details(), "'boiled' is no step"),
        ],
    )
    def test_bad_input_is_refused_and_changes_nothing(
        self, leader: Member, kind: str, details: Details, said: str
    ):
        find = dry_kept()
        with pytest.raises(PreparationRefused, match=said):
            actions.record(
                [find.pk], kind, at=EVENING, by=leader, now=EVENING, details=details, why_not=NO_TIME
            )
        assert not PreparationStep.objects.exists()

    def test_a_time_to_come_and_one_before_the_find_are_refused(self, leader: Member):
        find = dry_kept()
        with pytest.raises(PreparationRefused, match="has not come yet"):
            actions.record([find.pk], order.TISSUE, at=EVENING + HOUR, by=leader, now=EVENING)
        before = EVENING - timedelta(days=4)
        with pytest.raises(PreparationRefused, match="was found on 3 October 2026"):
            actions.record([find.pk], order.TISSUE, at=before, by=leader, now=EVENING)

    def test_none_chosen_and_one_that_is_not_there_are_refused(self, leader: Member):
        with pytest.raises(PreparationRefused, match="No find was chosen"):
            step([], order.TISSUE, leader, EVENING)
        gone = FindFactory.build(finder=leader)
        with pytest.raises(PreparationRefused, match="not in the ledger"):
            step([gone], order.TISSUE, leader, EVENING)

    def test_what_was_seen_only_has_nothing_to_prepare(self, leader: Member):
        with pytest.raises(PreparationRefused, match="seen only"):
            put_in([dry_kept(kept=False)], leader)

    def test_a_split_collection_is_told_by_its_shares_which_keep_its_steps(self, leader: Member):
        whole = dry_kept()
        put_in([whole], leader)
        step([whole], order.OUT_OF_DRIER, leader, EVENING + HOUR)
        share = dry_kept(split_from=whole, collecting_suffix="A")
        with pytest.raises(PreparationRefused, match="was split"):
            step([whole], order.TISSUE, leader, EVENING + 2 * HOUR)
        step([share], order.INTO_FREEZER, leader, EVENING + 2 * HOUR)
        assert queries.in_hand(share).state.dried_at == EVENING + HOUR


class TestWithdraw:
    def test_a_wrong_step_stays_on_record_and_holds_no_more(self, leader: Member, curator: Member):
        find = FindFactory()
        put_in([find], leader, why_not=NO_TIME)
        into = PreparationStep.objects.get(kind=order.INTO_DRIER)
        actions.withdraw(into.pk, words="the wrong AT 12", by=curator, now=EVENING + HOUR)
        assert queries.in_hand(find).steps == []  # what was left out with it is asked again
        assert PreparationStep.objects.count() == 4
        assert into.withdrawal.words == "the wrong AT 12"

    def test_what_a_later_step_rests_on_is_not_withdrawn_alone(self, leader: Member):
        find = dry_kept()
        prepared(find, leader)
        into = PreparationStep.objects.get(kind=order.INTO_DRIER)
        with pytest.raises(PreparationRefused, match="withdraw the later one first"):
            actions.withdraw(into.pk, words="wrong find", by=leader, now=EVENING + timedelta(days=20))
        assert queries.in_hand(find).state.where == order.IN_PACKET

    def test_without_a_reason_or_twice_it_is_refused(self, leader: Member):
        find = dry_kept()
        put_in([find], leader)
        into = PreparationStep.objects.get()
        with pytest.raises(PreparationRefused, match="reason is missing"):
            actions.withdraw(into.pk, words="  ", by=leader, now=EVENING)
        actions.withdraw(into.pk, words="wrong find", by=leader, now=EVENING)
        with pytest.raises(PreparationRefused, match="withdrawn already"):
            actions.withdraw(into.pk, words="wrong find", by=leader, now=EVENING)

    def test_a_step_cannot_be_changed_or_deleted_by_any_other_way(self, leader: Member):
        put_in([dry_kept()], leader)
        one = PreparationStep.objects.get()
        with pytest.raises(StepChanged):
            one.save()
        with pytest.raises(StepChanged):
            one.delete()
        with pytest.raises(StepChanged):
            PreparationStep.objects.update(words="")
        with pytest.raises(StepChanged):
            PreparationStep.objects.all().delete()
