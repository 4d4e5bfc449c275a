"""Names that keep a place back: all ever given, those that are only near, and their genus."""

from dataclasses import replace
from datetime import date

import pytest
from django.utils import timezone

from ledger.bench import actions as bench
from ledger.finds import access, actions, sensitive
from ledger.finds.entries import NameGiven
from ledger.finds.models import Find
from ledger.taxa.actions import mark_sensitive
from ledger.taxa.models import Taxon
from tests.factories import ForayFactory
from tests.ledger.finds.making import TWELVE, entry

pytestmark = pytest.mark.django_db
STEP = 0.1


@pytest.fixture(autouse=True)
def lucidum(reference):
    taxon = Taxon.objects.get(name="Ganoderma lucidum")
    mark_sensitive(taxon, STEP)
    return taxon


def log(by, typed, **record):
    given = NameGiven(typed=typed, taxon=Taxon.objects.filter(name=typed).first())
    return actions.log_find(replace(entry(*TWELVE[:2], **record), name=given), by=by)


def redetermine(find, curator):
    name = bench.NewName(
        name_typed="Polyporales", taxon=None, qualifier="", basis="cut section", note="", determiner_name="",
        determined_on=date(2026, 10, 4),
    )  # fmt: skip
    bench.redetermine(find.pk, version=1, name=name, by=curator, now=timezone.now())


def is_kept(find, member):
    return not access.sees_exact_place(Find.objects.for_page().get(pk=find.pk), member)


@pytest.mark.parametrize(
    "typed",
    ["Ganoderma lucidum", "Ganoderma lucidium", "Ganoderma", "Ganoderma sp.", "cf. Ganoderma lucidum"],
)
def test_a_name_that_may_mean_a_sensitive_taxon_keeps_the_place_back(typed, collector, stranger):
    assert is_kept(log(collector, typed), stranger)


def test_another_name_keeps_nothing_back(collector, stranger):
    assert not is_kept(log(collector, "Stereum hirsutum"), stranger)


def test_a_redetermination_does_not_tell_what_the_first_name_kept_back(collector, curator, stranger):
    find = log(collector, "Ganoderma lucidum")
    redetermine(find, curator)
    assert is_kept(find, stranger)


def test_an_amended_name_does_not_tell_it_either(collector, stranger):
    find = log(collector, "Ganoderma lucidum")
    actions.amend_find(find.pk, entry(*TWELVE[:2], name="Stereum hirsutum"), by=collector, version=1)
    assert is_kept(find, stranger)


def test_a_taxon_marked_later_keeps_back_what_was_logged_before(collector, stranger):
    find, typo = log(collector, "Fomes fomentarius"), log(collector, "Fomes fomentarus")
    mark_sensitive(Taxon.objects.get(name="Fomes fomentarius"), STEP)
    assert is_kept(find, stranger)
    assert is_kept(typo, stranger)


def test_a_taxon_no_longer_marked_lets_its_finds_go(collector, stranger, lucidum):
    find = log(collector, "Ganoderma lucidum")
    mark_sensitive(lucidum, None)
    assert not is_kept(find, stranger)


def test_a_curator_opens_a_place_with_a_reason_on_record(collector, curator, stranger):
    find = log(collector, "Ganoderma lucidum")
    sensitive.open_place(find.pk, reason="Not that species after all.", by=curator, now=timezone.now())
    assert not is_kept(find, stranger)
    assert find.changes.get(field="place opened").new == "Not that species after all."


def test_an_opened_place_is_kept_back_again_by_a_new_sensitive_name(collector, curator, stranger):
    find = log(collector, "Ganoderma lucidum")
    sensitive.open_place(find.pk, reason="Not that species after all.", by=curator, now=timezone.now())
    given = replace(entry(*TWELVE[:2]), name=NameGiven(typed="Ganoderma cf. lucidum"))
    actions.amend_find(find.pk, given, by=collector, version=2)
    assert is_kept(find, stranger)


def test_a_place_is_not_opened_without_a_reason(collector, curator):
    find = log(collector, "Ganoderma lucidum")
    with pytest.raises(sensitive.PlaceStaysKept):
        sensitive.open_place(find.pk, reason="ok", by=curator, now=timezone.now())


def test_the_list_of_forays_does_not_count_what_the_foray_does_not_show(
    collector, leader, stranger, browser_of
):
    foray = ForayFactory(leader=leader, name="Cawl Bank")
    log(collector, "Ganoderma lucidum", foray=foray)
    log(collector, "Stereum hirsutum", foray=foray)
    assert "1 find" in browser_of(stranger).get("/forays/").content.decode()
    assert "2 finds" in browser_of(leader).get("/forays/").content.decode()


def test_a_leader_who_leads_no_more_sees_no_more(collector, leader):
    find = log(collector, "Ganoderma lucidum", foray=ForayFactory(leader=leader))
    assert not is_kept(find, leader)
    leader.role = "member"
    leader.save()
    assert is_kept(find, leader)


def why_kept_back(find):
    return sensitive.kept_back_because(Find.objects.for_page().get(pk=find.pk))


def test_a_place_kept_back_says_which_name_asks_for_it(collector, curator):
    find = log(collector, "Ganoderma lucidum")
    assert why_kept_back(find) == "it is named Ganoderma lucidum"
    redetermine(find, curator)
    assert why_kept_back(find) == "it was once named Ganoderma lucidum"


def test_a_near_name_and_a_step_of_the_finds_own_are_both_told(collector):
    find = log(collector, "Ganoderma lucidium", own_blur_step_deg=0.1)
    assert why_kept_back(find) == "it was chosen so for this find and it is named Ganoderma lucidium"


def test_a_place_told_to_all_has_no_reason(collector, curator):
    find = log(collector, "Ganoderma lucidum")
    sensitive.open_place(find.pk, reason="The name was a slip.", by=curator, now=timezone.now())
    assert why_kept_back(find) == ""
    assert why_kept_back(log(collector, "Stereum hirsutum")) == ""


def test_the_page_gives_the_reason_to_those_who_see_the_place_alone(collector, curator, stranger, browser_of):
    find = log(collector, "Ganoderma lucidum")
    redetermine(find, curator)
    for member, told in ((curator, True), (collector, True), (stranger, False)):
        shown = browser_of(member).get(f"/finds/{find.pk}/").content.decode()
        assert ("because it was once named Ganoderma lucidum" in shown) is told
