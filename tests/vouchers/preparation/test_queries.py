"""What is due, what waits, and how many queries it takes to say so."""

from datetime import UTC, datetime, time, timedelta
from typing import Any

import pytest

from ledger.people.models import Member
from tests.factories import ReadingFactory
from tests.vouchers.preparation.making import EVENING, dry_kept, prepared, put_in, step
from vouchers.preparation import actions, order, queries, screens
from vouchers.preparation.actions import RunFacts
from vouchers.register.actions import accession

HOUR = timedelta(hours=1)
NEXT_DAY = datetime(2026, 10, 5, 0, 30, tzinfo=UTC)


class TestWaiting:
    def test_a_kept_find_in_no_drier_a_day_later_is_told(self, leader: Member):
        late = dry_kept(finder=leader, collecting_serial=12)
        assert queries.waiting_sentence(NEXT_DAY) == (
            "1 find was kept and is in no drier a day after it was found: LM 12."
        )
        put_in([late], leader)
        assert queries.waiting_sentence(NEXT_DAY) == ""

    def test_the_day_counts_from_its_end_where_the_hour_is_not_known(self, db: None):
        dry_kept()
        dry_kept(found_at_time=time(11, 0))
        assert queries.waiting_too_long(datetime(2026, 10, 4, 12, 0, tzinfo=UTC)).count() == 1
        assert queries.waiting_too_long(datetime(2026, 10, 4, 23, 59, tzinfo=UTC)).count() == 1
        assert queries.waiting_too_long(NEXT_DAY).count() == 2

    def test_a_find_without_a_day_counts_from_the_log(self, db: None):
        dry_kept(found_on=None, logged_at=EVENING)
        assert queries.waiting_too_long(EVENING + 23 * HOUR).count() == 0
        assert queries.waiting_too_long(EVENING + 25 * HOUR).count() == 1

    def test_seen_only_left_without_drying_and_split_are_not_told(self, leader: Member):
        dry_kept(kept=False)
        woody = dry_kept()
        actions.leave_out([woody.pk], [order.DRYING], words="air-dry on its wood", by=leader, now=EVENING)
        whole = dry_kept()
        put_in([whole], leader)
        dry_kept(split_from=whole, collecting_suffix="A")
        assert queries.waiting_sentence(NEXT_DAY) == ""

    def test_what_was_found_a_month_ago_or_has_its_number_is_no_news(self, curator: Member):
        dry_kept()
        numbered = dry_kept()
        accession(numbered.pk, by=curator, now=EVENING)
        assert queries.waiting_too_long(NEXT_DAY).count() == 1
        assert queries.waiting_sentence(EVENING + timedelta(days=32)) == ""
        dry_kept(found_on=None, logged_at=EVENING)
        assert queries.waiting_sentence(EVENING + timedelta(days=32)) == ""

    def test_many_are_counted_and_the_first_five_named(self, db: None):
        for _ in range(7):
            dry_kept()
        sentence = queries.waiting_sentence(NEXT_DAY)
        assert sentence.startswith("7 finds were kept and are in no drier a day after they were found: ")
        assert sentence.endswith("and 2 more.")


class TestTonight:
    @pytest.mark.parametrize(
        ("now", "morning"),
        [
            (datetime(2026, 10, 3, 21, tzinfo=UTC), datetime(2026, 10, 4, 6, tzinfo=UTC)),
            (datetime(2026, 10, 4, 2, tzinfo=UTC), datetime(2026, 10, 4, 6, tzinfo=UTC)),
            (datetime(2026, 10, 4, 6, tzinfo=UTC), datetime(2026, 10, 5, 6, tzinfo=UTC)),
        ],
    )
    def test_a_night_ends_at_six(self, now: datetime, morning: datetime):
        assert queries.morning_after(now) == morning

    def test_due_out_by_run_and_hour_the_earliest_first(self, leader: Member):
        slow, quick = [dry_kept() for _ in range(3)], dry_kept()
        put_in(slow, leader, facts=RunFacts("oven", planned_hours=9))
        put_in([quick], leader, facts=RunFacts("stove", planned_hours=4))
        put_in([dry_kept()], leader, facts=RunFacts("shelf", planned_hours=90))
        put_in([dry_kept()], leader, facts=RunFacts("table"))
        now = EVENING + 5 * HOUR
        first, second = screens.tonight(screens.sections(now), now)
        assert (first.numbers, first.is_late) == ([str(quick)], True)
        assert second.at == EVENING + 9 * HOUR
        assert sorted(second.numbers) == sorted(map(str, slow))

    def test_what_is_due_out_of_the_freezer_is_in_the_list(self, leader: Member):
        find = dry_kept()
        put_in([find], leader)
        step([find], order.OUT_OF_DRIER, leader, EVENING + HOUR)
        step([find], order.INTO_FREEZER, leader, EVENING + 2 * HOUR, days=3.0)
        now = EVENING + timedelta(days=3)
        (due,) = screens.tonight(screens.sections(now), now)
        assert (due.words, due.numbers) == ("Freezer", [str(find)])

    def test_a_thick_bracket_among_thin_ones_is_told_with_its_load(self, leader: Member):
        finds = [dry_kept() for _ in range(3)]
        for find, mm in zip(finds, (4.0, 6.0, 55.0), strict=True):
            ReadingFactory(find=find, trait="cap_thickness", values=[mm])
        put_in(finds, leader)
        (load,) = queries.loads()
        assert [thick.name for thick in load.thick] == [str(finds[2])]


def test_trays_tell_what_lies_on_them_now(leader: Member):
    one, other = dry_kept(), dry_kept()
    put_in([one], leader, trays={one.pk: 5})
    put_in([other], leader, trays={other.pk: 5})
    assert sorted(queries.trays_in_use()[5]) == sorted([str(one), str(other)])
    step([one], order.OUT_OF_DRIER, leader, EVENING + HOUR)
    assert [row.find for row in queries.on_tray(5)] == [other]


def test_each_find_stands_in_the_list_of_where_it_lies(leader: Member):
    done, dried = dry_kept(), dry_kept()
    prepared(done, leader)
    put_in([dried], leader)
    step([dried], order.OUT_OF_DRIER, leader, EVENING + HOUR)
    now = EVENING + timedelta(days=10)
    assert [(section.code, [row.find for row in section.rows]) for section in screens.sections(now)] == [
        ("dried", [dried])
    ]


def test_the_page_takes_no_more_queries_for_many_finds(leader: Member, django_assert_max_num_queries: Any):
    put_in([dry_kept() for _ in range(30)], leader)
    with django_assert_max_num_queries(12):
        screens.sections(EVENING + HOUR)
