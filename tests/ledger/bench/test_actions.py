from dataclasses import replace
from datetime import date

import pytest
from django.utils import timezone

from ledger.bench.actions import BenchRefused, FindMovedOn, NewName, redetermine, send_back, settle
from ledger.bench.models import Flag
from ledger.finds.actions import answer_question
from ledger.finds.models import Find, Status
from ledger.people.models import Member
from ledger.taxa.models import Taxon
from tests.ledger.bench.making import amend_width, held_find, open_codes

REASON = "Measured again on the dry cap: 100 mm. A large one, seen by two."


def _name(taxon: Taxon | None, typed: str) -> NewName:
    return NewName(typed, taxon, "", "lens", "pores counted anew", "", date(2026, 10, 9))


def test_a_settled_flag_keeps_who_when_and_why(versicolor: Taxon, collector: Member, curator: Member) -> None:
    find, now = held_find(versicolor, collector), timezone.now()
    settle(find.pk, version=find.version, reason=f" {REASON} ", by=curator, now=now)
    flag = Flag.objects.get(find=find, code="trait_outside")
    assert (flag.settled_by, flag.settled_at, flag.settle_reason) == (curator, now, REASON)
    find.refresh_from_db()
    assert (find.status, find.open_flags, find.worst_flag) == (Status.SETTLED, 0, 0)
    line = find.changes.get(field="flag settled")
    assert (line.by, line.old, line.new) == (curator, "Trait outside: cap width, along the wood", REASON)


def test_one_decision_is_one_line_of_history_and_names_the_flags_worst_first(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    settle(find.pk, version=find.version, reason=REASON, by=curator, now=timezone.now())
    (line,) = find.changes.filter(by=curator)
    assert (line.field, line.new) == ("flags settled", REASON)
    assert line.old == "2: Trait outside: cap width, along the wood; No date"
    reasons = find.flags.filter(withdrawn_at=None).values_list("settle_reason", "settled_by")
    assert set(reasons) == {(REASON, curator.pk)}


def test_a_settled_flag_stays_away_while_its_numbers_stand(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    settle(find.pk, version=find.version, reason=REASON, by=curator, now=timezone.now())
    amend_width(find, 100.0, by=collector)
    find.refresh_from_db()
    assert (find.status, open_codes(find)) == (Status.SETTLED, [])


def test_a_settled_flag_comes_back_when_its_numbers_change(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    settle(find.pk, version=find.version, reason=REASON, by=curator, now=timezone.now())
    amend_width(find, 112.0, by=collector)
    find.refresh_from_db()
    assert (find.status, open_codes(find)) == (Status.HELD, ["trait_outside"])
    assert Flag.objects.filter(find=find, settle_reason=REASON).count() == 1


def test_settling_some_flags_leaves_the_find_held(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector, found_on=None)
    first = find.flags.get(code="trait_outside")
    settle(find.pk, version=find.version, reason=REASON, by=curator, now=timezone.now(), flag_ids=[first.pk])
    find.refresh_from_db()
    assert find.status == Status.HELD
    assert open_codes(find) and "trait_outside" not in open_codes(find)


@pytest.mark.parametrize(
    ("reason", "why"),
    [
        ("", "No reason was given"),
        ("   ", "No reason was given"),
        (" seen, ok ", "“seen, ok” says too little"),
    ],
)
def test_without_a_reason_that_says_something_nothing_is_settled(
    versicolor: Taxon, collector: Member, curator: Member, reason: str, why: str
) -> None:
    find = held_find(versicolor, collector)
    with pytest.raises(BenchRefused, match=why):
        settle(find.pk, version=find.version, reason=reason, by=curator, now=timezone.now())
    assert open_codes(find) == ["trait_outside"]


def test_a_question_goes_out_and_the_answer_comes_back(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    asked = send_back(
        find.pk,
        version=find.version,
        question="One cap or two grown together?",
        by=curator,
        now=timezone.now(),
    )
    assert Find.objects.get(pk=find.pk).status == Status.SENT_BACK
    assert list(Find.objects.for_bench()) == []
    answer_question(asked, "Two, I see the seam.", by=collector)
    assert list(Find.objects.for_bench()) == [find]
    assert list(find.changes.values_list("field", flat=True)) == ["question", "answer"]


def test_a_new_name_keeps_the_old_one_and_is_checked_anew(
    versicolor: Taxon, adusta: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    made = redetermine(
        find.pk, version=find.version, name=_name(adusta, adusta.name), by=curator, now=timezone.now()
    )
    find.refresh_from_db()
    assert [one.name_typed for one in find.determinations.all()] == [versicolor.name, adusta.name]
    assert (find.current_determination, find.status, open_codes(find)) == (made, Status.LOGGED, [])
    assert Flag.objects.get(find=find, code="trait_outside").withdrawn_at is not None
    line = find.changes.get(field="name")
    assert (line.old, line.new, line.by) == (versicolor.name, adusta.name, curator)


def test_a_worse_name_for_a_settled_find_holds_it_again(
    versicolor: Taxon, adusta: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(adusta, collector)
    settle(find.pk, version=find.version, reason=REASON, by=curator, now=timezone.now())
    find.refresh_from_db()
    redetermine(
        find.pk, version=find.version, name=_name(versicolor, versicolor.name), by=curator, now=timezone.now()
    )
    find.refresh_from_db()
    assert (find.status, open_codes(find)) == (Status.HELD, ["trait_outside"])


def test_nothing_is_written_to_a_find_that_moved_on(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    seen = find.version
    amend_width(find, 105.0, by=collector)
    with pytest.raises(FindMovedOn, match="Nothing was written now"):
        settle(find.pk, version=seen, reason=REASON, by=curator, now=timezone.now())
    assert open_codes(find) == ["trait_outside"]
    assert not find.changes.filter(by=curator).exists()


def test_one_s_own_change_in_another_window_is_told_as_such(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    seen = find.version
    send_back(find.pk, version=seen, question="One cap or two?", by=curator, now=timezone.now())
    with pytest.raises(FindMovedOn, match="was changed by yourself in another window after"):
        settle(find.pk, version=seen, reason=REASON, by=curator, now=timezone.now())


def test_where_another_member_changed_it_too_it_is_somebody_else(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    seen, seen_at = find.version, find.changed_at
    amend_width(find, 105.0, by=collector)
    find.refresh_from_db()
    send_back(find.pk, version=find.version, question="One cap or two?", by=curator, now=timezone.now())
    with pytest.raises(FindMovedOn, match="was changed by somebody else"):
        settle(find.pk, version=seen, reason=REASON, by=curator, now=timezone.now(), seen_at=seen_at)


# --- a new name: its day and its grounds ---


def test_a_name_is_not_older_than_its_find(versicolor: Taxon, collector: Member, curator: Member) -> None:
    find = held_find(versicolor, collector, found_on=date(2026, 10, 10))
    with pytest.raises(BenchRefused, match="9 October 2026, before the find of 10 October 2026"):
        redetermine(
            find.pk,
            version=find.version,
            name=_name(versicolor, versicolor.name),
            by=curator,
            now=timezone.now(),
        )
    assert find.determinations.count() == 1


def test_the_tick_alone_does_not_let_an_older_name_through(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector, found_on=date(2026, 10, 10))
    name = replace(_name(versicolor, versicolor.name), find_date_wrong=True)
    with pytest.raises(BenchRefused, match="before the find"):
        redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())


def test_where_the_find_s_date_is_flagged_the_determiner_may_say_it_is_wrong(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector, found_on=date(2126, 10, 10))
    assert "date_future" in open_codes(find)
    name = _name(versicolor, versicolor.name)
    with pytest.raises(BenchRefused, match="or tick that the find's own date is wrong"):
        redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())
    name = replace(name, find_date_wrong=True)
    redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())
    line = find.changes.get(field="date of the find")
    assert (line.old, line.new) == ("2126-10-10", "held to be wrong; the name is of 9 October 2026")


def _bare(taxon: Taxon | None, typed: str) -> NewName:
    return replace(_name(taxon, typed), basis="", note=" ")


@pytest.mark.parametrize("typed", ["Bjerkandera adusta", "Bjerkandera sp."])
def test_another_genus_asks_for_grounds(
    versicolor: Taxon, adusta: Taxon, collector: Member, curator: Member, typed: str
) -> None:
    find = held_find(versicolor, collector)
    taxon = adusta if typed == adusta.name else None
    with pytest.raises(BenchRefused, match="Bjerkandera is another genus than Trametes"):
        redetermine(find.pk, version=find.version, name=_bare(taxon, typed), by=curator, now=timezone.now())
    assert find.determinations.count() == 1


def test_a_name_the_readings_rule_out_asks_for_grounds(
    versicolor: Taxon, collector: Member, curator: Member
) -> None:
    find = held_find(versicolor, collector)
    find.readings.filter(trait="underside").update(states=["smooth"])
    name = _bare(versicolor, "Trametes versicolor")
    with pytest.raises(BenchRefused, match="rule Trametes versicolor out"):
        redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())
    name = replace(name, note="The reading is of the other side.")
    assert redetermine(find.pk, version=find.version, name=name, by=curator, now=timezone.now())


@pytest.mark.parametrize("typed", ["Trametes versicolor", "Trametes sp.", "Polyporales", ""])
def test_a_name_of_the_same_genus_or_of_none_needs_no_grounds(
    versicolor: Taxon, collector: Member, curator: Member, typed: str
) -> None:
    find = held_find(versicolor, collector)
    taxon = versicolor if typed == versicolor.name else None
    made = redetermine(
        find.pk, version=find.version, name=_bare(taxon, typed), by=curator, now=timezone.now()
    )
    assert made.basis == ""
