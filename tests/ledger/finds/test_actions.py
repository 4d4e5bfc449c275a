"""Logging, amending and rechecking finds."""

import dataclasses
import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.utils import timezone

from ledger.bench.models import Flag
from ledger.finds import actions
from ledger.finds.entries import NameGiven, ReadingEntry
from ledger.finds.models import Find, Status
from ledger.phone.numbers import reserve_block
from ledger.taxa.models import Taxon
from tests.factories import DeterminationFactory, QuestionFactory, make_photo
from tests.ledger.finds.making import TWELVE, entry, numbers, states

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference):
    pass


def log(by, *readings, **more):
    return actions.log_find(entry(*readings, **more), by=by)


def log_with_views(by, *readings, **more):
    """A find with the two photos that every find needs, so that no flag asks for them."""
    find_id = uuid.uuid4()
    for view, colour in (("cap", b"1"), ("underside", b"2")):
        make_photo(draft_id=find_id, by=by, data=colour, view=view)
    return actions.log_find(entry(*readings, **more), by=by, find_id=find_id)


def test_a_find_is_written_with_readings_name_and_history(collector):
    find = log(collector, *TWELVE)
    assert find.readings.count() == 12
    assert find.current_determination.taxon.name == "Trametes versicolor"
    assert [c.field for c in find.changes.all()] == ["logged"]


def test_the_words_of_an_english_name_stay_on_record_and_make_no_second_opinion(collector):
    taxon = Taxon.objects.get(name="Trametes versicolor")
    given = NameGiven(typed=taxon.name, taxon=taxon, vernacular_typed="turkey tail")
    find = actions.log_find(replace(entry(), name=given), by=collector)
    said = find.current_determination
    assert (said.name_typed, said.vernacular_typed) == ("Trametes versicolor", "turkey tail")
    latin = replace(entry(), name=replace(given, vernacular_typed=""))
    actions.amend_find(find.pk, latin, by=collector, version=find.version)
    assert find.determinations.count() == 1


def test_numbers_are_handed_out_one_after_another(collector):
    assert [log(collector).collecting_number for _ in range(3)] == ["AT 1", "AT 2", "AT 3"]


def test_a_number_from_a_slip_is_taken_and_counting_goes_on_after_it(collector):
    slip = dataclasses.replace(entry(), serial=41)
    assert actions.log_find(slip, by=collector).collecting_serial == 41
    assert log(collector).collecting_serial == 42


def test_a_number_used_twice_is_kept_and_flagged(collector):
    slip = dataclasses.replace(entry(), serial=7)
    actions.log_find(slip, by=collector)
    again = actions.log_find(slip, by=collector)
    assert again.flags.filter(code="number_repeated").exists()


def test_the_same_form_sent_twice_is_one_find(collector):
    find_id = uuid.uuid4()
    first = actions.log_find(entry(), by=collector, find_id=find_id)
    again = actions.log_find(entry(), by=collector, find_id=find_id)
    assert (first.pk, Find.objects.count()) == (again.pk, 1)
    collector.refresh_from_db()
    assert collector.next_serial == 2


def test_anothers_find_is_not_given_out_for_its_identity(collector, stranger):
    find = log(collector)
    with pytest.raises(actions.FindRefused, match="somebody else"):
        actions.log_find(entry(), by=stranger, find_id=find.pk)


def test_waiting_photos_become_the_finds_with_the_views_chosen(collector):
    find_id = uuid.uuid4()
    photo = make_photo(draft_id=find_id, by=collector)
    given = dataclasses.replace(entry(), photo_views={str(photo.pk): "underside"})
    find = actions.log_find(given, by=collector, find_id=find_id)
    assert [(p.pk, p.view) for p in find.photos.all()] == [(photo.pk, "underside")]


def test_a_photo_of_somebody_else_is_not_taken(collector, stranger):
    find_id = uuid.uuid4()
    make_photo(draft_id=find_id, by=stranger)
    assert actions.log_find(entry(), by=collector, find_id=find_id).photos.count() == 0


def test_a_find_without_photos_is_kept_and_held(collector):
    find = log(collector, *TWELVE)
    assert (find.status, find.flags.get(code="photos_missing").is_open) == (Status.HELD, True)


def test_an_ordinary_find_is_not_held(collector):
    find = log_with_views(collector, *TWELVE)
    assert [f.code for f in find.flags.exclude(severity="note")] == []
    assert find.status == Status.LOGGED


def test_a_smooth_underside_holds_a_trametes(collector):
    find = log_with_views(collector, states("underside", "smooth"))
    assert "stop" in find.flags.filter(subject="underside").values_list("severity", flat=True)
    assert (find.status, find.worst_flag) == (Status.HELD, 3)


def test_what_is_amended_stands_in_the_history_with_old_and_new(collector):
    find = log(collector, numbers("cap_width", 58.0))
    actions.amend_find(find.pk, entry(numbers("cap_width", 62.0), host="Fagus"), by=collector, version=1)
    told = {c.field: (c.old, c.new) for c in find.changes.all()}
    assert told["host"] == ("", "Fagus")
    assert told["reading cap_width"] == ("58 mm", "62 mm")


def test_a_replaced_reading_stays_on_record(collector):
    find = log(collector, numbers("cap_width", 58.0))
    actions.amend_find(find.pk, entry(numbers("cap_width", 62.0)), by=collector, version=1)
    first, second = find.readings.order_by("pk")
    assert (first.values, first.ended_at is None) == ([58.0], False)
    assert (second.values, second.ended_at) == ([62.0], None)


def test_amending_nothing_writes_nothing(collector):
    find = log(collector, *TWELVE)
    actions.amend_find(find.pk, entry(*TWELVE), by=collector, version=1)
    find.refresh_from_db()
    assert (find.version, find.changes.count()) == (1, 1)


def test_cannot_say_absent_and_not_looked_are_kept_apart(collector):
    made = (ReadingEntry("zonation", looked="absent"), ReadingEntry("rot", looked="cannot say"))
    find = log(collector, *made)
    assert dict(find.readings.values_list("trait", "looked")) == {"zonation": "absent", "rot": "cannot say"}


def test_a_new_name_is_another_determination(collector):
    find = log(collector)
    actions.amend_find(find.pk, entry(name="Trametes hirsuta"), by=collector, version=1)
    find.refresh_from_db()
    assert find.determinations.count() == 2
    assert find.current_determination.name_typed == "Trametes hirsuta"


def named_on(day: date, **record):
    given = entry(found_on=day, **record)
    return replace(given, name=replace(given.name, determined_on=day))


def test_the_name_that_came_with_the_find_follows_its_day(collector):
    find = actions.log_find(named_on(date(2016, 10, 2)), by=collector)
    find = actions.amend_find(find.pk, named_on(date(2026, 10, 2)), by=collector, version=1)
    assert [one.determined_on for one in find.determinations.all()] == [date(2026, 10, 2)]
    assert find.current_determination.determined_on == date(2026, 10, 2)
    assert not find.flags.filter(code="named_before_found").exists()
    assert find.changes.get(field="day of the first name").old == "2016-10-02"


def test_a_name_that_came_with_a_find_of_no_day_has_none_until_the_find_has_one(collector):
    find = actions.log_find(named_on(None), by=collector)
    assert find.current_determination.determined_on is None
    find = actions.amend_find(find.pk, named_on(date(2026, 10, 2)), by=collector, version=1)
    assert find.current_determination.determined_on == date(2026, 10, 2)


@pytest.mark.parametrize("by_slip", [False, True])
def test_a_find_keyed_at_the_table_or_from_a_slip_without_photos_is_not_held(collector, by_slip):
    reserve_block(collector, holder="paper", by=collector, many=4)
    given = entry(*TWELVE, keyed_at_table=not by_slip, position_source="table", uncertainty_m=1500.0)
    find = actions.log_find(replace(given, serial=3 if by_slip else None), by=collector)
    assert (find.status, find.flags.get(code="views_missing_keyed").severity) == (Status.LOGGED, "note")


def test_a_later_name_keeps_its_day_and_is_doubted_where_the_find_is_younger(collector):
    find = actions.log_find(named_on(date(2016, 10, 2)), by=collector)
    taxon = Taxon.objects.get(name="Trametes versicolor")
    DeterminationFactory(find=find, taxon=taxon, determined_on=date(2017, 1, 5))
    find = actions.amend_find(find.pk, named_on(date(2026, 10, 2)), by=collector, version=1)
    assert {one.determined_on for one in find.determinations.all()} == {date(2026, 10, 2), date(2017, 1, 5)}
    assert find.flags.get(code="named_before_found").sentence.startswith("A name of it is of 5 January 2017")


def test_a_change_made_meanwhile_is_told_and_not_overwritten(collector, curator):
    find = log(collector)
    opened = find.changed_at
    actions.amend_find(find.pk, entry(host="Quercus"), by=curator, version=1)
    with pytest.raises(actions.FindChanged) as told:
        actions.amend_find(find.pk, entry(host="Fagus"), by=collector, version=1, opened_at=opened)
    assert [(c.field, c.new) for c in told.value.changes] == [("host", "Quercus")]
    find.refresh_from_db()
    assert find.host == "Quercus"


class TestFlagsAreBroughtInLine:
    """The rules of recheck()."""

    def held(self, collector):
        return log_with_views(collector, numbers("cap_width", 580.0))

    def test_a_flag_whose_reason_is_gone_is_withdrawn_and_stays_on_record(self, collector):
        find = self.held(collector)
        before = set(find.flags.filter(subject="cap_width").values_list("pk", flat=True))
        actions.amend_find(find.pk, entry(numbers("cap_width", 58.0)), by=collector, version=1)
        after = find.flags.filter(pk__in=before)
        assert after.count() == len(before) > 0
        assert all(flag.withdrawn_at for flag in after)

    def test_checking_again_raises_nothing_new(self, collector):
        find = self.held(collector)
        assert actions.recheck(find) == ()

    def test_a_settled_flag_stays_settled_while_its_numbers_stand(self, collector, curator):
        find = self.held(collector)
        self.settle(find, curator)
        assert actions.recheck(find) == ()
        find.refresh_from_db()
        assert (find.status, find.open_flags) == (Status.SETTLED, 0)

    def test_a_settled_flag_comes_back_when_its_numbers_change(self, collector, curator):
        find = self.held(collector)
        self.settle(find, curator)
        actions.amend_find(find.pk, entry(numbers("cap_width", 600.0)), by=collector, version=1)
        find.refresh_from_db()
        assert find.status == Status.HELD
        assert find.flags.filter(subject="cap_width", settled_at=None, withdrawn_at=None).exists()

    def test_a_find_that_went_back_waits_whatever_its_flags(self, collector):
        find = self.held(collector)
        Find.objects.filter(pk=find.pk).update(status=Status.SENT_BACK)
        actions.amend_find(find.pk, entry(numbers("cap_width", 58.0)), by=collector, version=1)
        find.refresh_from_db()
        assert find.status == Status.SENT_BACK

    @staticmethod
    def settle(find, curator):
        Flag.objects.filter(find=find).update(
            settled_at=timezone.now(), settled_by=curator, settle_reason="Measured again by me."
        )
        find.status = Status.SETTLED
        find.save(update_fields=["status"])


def test_an_answer_brings_the_find_back_to_the_bench(collector, curator):
    find = log_with_views(collector, *TWELVE)
    Find.objects.filter(pk=find.pk).update(status=Status.SENT_BACK)
    question = QuestionFactory(find=find, asked_by=curator)
    actions.answer_question(question, "White, and it bruised brown.", by=collector)
    find.refresh_from_db()
    assert find.status == Status.HELD
    assert find.changes.filter(field="answer", new="White, and it bruised brown.").exists()


def test_an_answered_find_is_not_released_by_a_recheck(collector, curator):
    find = log_with_views(collector, *TWELVE)
    Find.objects.filter(pk=find.pk).update(status=Status.SENT_BACK)
    actions.answer_question(QuestionFactory(find=find, asked_by=curator), "White.", by=collector)
    find.refresh_from_db()
    actions.recheck(find)
    assert find.status == Status.HELD


@pytest.mark.parametrize("text", ["", "   "])
def test_an_empty_answer_leaves_the_question_open(collector, curator, text):
    find = log(collector)
    question = QuestionFactory(find=find, asked_by=curator)
    with pytest.raises(actions.FindRefused, match="stays open"):
        actions.answer_question(question, text, by=collector)
    question.refresh_from_db()
    assert question.answered_at is None


def test_a_question_is_answered_once(collector, curator):
    question = QuestionFactory(find=log(collector), asked_by=curator)
    actions.answer_question(question, "White.", by=collector)
    with pytest.raises(actions.FindRefused, match="answered already"):
        actions.answer_question(question, "Brown.", by=collector)


def test_logging_twelve_readings_takes_few_queries(collector, django_assert_num_queries):
    make = entry(*TWELVE)
    # Club, serial, who has it, photos, reference, neighbours; name, find, readings, flags, history; a savepoint's two.
    # In the index: words looked up, made, looked up; names of words looked up, made; row and words of the find; the counts
    # of the year.
    with django_assert_num_queries(21):
        actions.log_find(make, by=collector)


def test_an_unnamed_find_has_no_determination(collector):
    given = dataclasses.replace(entry(), name=NameGiven())
    assert actions.log_find(given, by=collector).current_determination is None


def test_the_history_keeps_the_order_of_events(collector):
    find = log(collector)
    later = timezone.now() + timedelta(minutes=1)
    actions.amend_find(find.pk, entry(host="Fagus"), by=collector, version=1, now=later)
    assert [c.field for c in find.changes.all()] == ["logged", "host"]


def test_other_grounds_for_the_same_name_are_another_opinion_of_today(collector):
    find = actions.log_find(entry(*TWELVE), by=collector)
    given = entry(*TWELVE)
    name = replace(given.name, basis="spores measured", determined_on=date(2026, 10, 3))
    now = find.logged_at + timedelta(days=40)
    actions.amend_find(find.pk, replace(given, name=name), by=collector, version=1, now=now)
    first, second = find.determinations.order_by("made_at")
    assert (first.basis, second.basis) == ("", "spores measured")
    assert second.determined_on == timezone.localdate(now)
    assert find.changes.get(field="name").new == "Trametes versicolor, spores measured"


def test_an_amendment_of_something_else_adds_no_opinion(collector):
    find = actions.log_find(entry(*TWELVE), by=collector)
    actions.amend_find(find.pk, entry(*TWELVE, locality="Hollin Wood"), by=collector, version=1)
    assert find.determinations.count() == 1


def test_a_typed_host_meets_what_the_books_say_of_the_kind_of_wood(collector):
    conifer = log(
        collector, *TWELVE[:9], name="Daedaleopsis confragosa", host="Picea abies", host_known_by="leaves"
    )
    assert "host_outside" in set(conifer.flags.values_list("code", flat=True))
