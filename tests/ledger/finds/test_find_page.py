"""One find's page, the answer to a question, and the list."""

import json
import re
from datetime import UTC, date, datetime, timedelta

import pytest

from ledger.finds import actions
from ledger.finds.find_page import FindPage
from ledger.finds.models import Find, Status
from ledger.taxa.models import LookAlike, Taxon
from tests.factories import (
    FindFactory,
    ForayFactory,
    QuestionFactory,
    SourceFactory,
    TaxonFactory,
    name_find,
)
from tests.ledger.finds.making import TWELVE, entry, numbers, states

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference):
    pass


@pytest.fixture
def find(collector):
    return actions.log_find(entry(*TWELVE), by=collector)


def page(browser, address):
    return browser.get(address).content.decode()


def test_name_number_readings_and_history_are_on_the_page(find, collector, browser_of):
    shown = page(browser_of(collector), f"/finds/{find.pk}/")
    for wanted in ("<i>Trametes versicolor</i>", "(L.) Lloyd", "AT 1", "38, 52, 61 mm", "<b>Logged</b>"):
        assert wanted in shown


def test_the_words_of_an_english_name_stand_beside_the_latin_one(collector, browser_of):
    find = FindFactory(finder=collector)
    name_find(find, TaxonFactory(name="Trametes versicolor"), vernacular_typed="turkey tail")
    shown = page(browser_of(collector), f"/finds/{find.pk}/")
    assert "typed as “turkey tail”" in shown


def test_the_json_twin_holds_readings_check_and_caution(find, collector, browser_of):
    told = json.loads(page(browser_of(collector), f"/finds/{find.pk}.json"))
    width = next(row for row in told["readings"] if row["trait"] == "cap_width")
    assert width["values"] == [38.0, 52.0, 61.0]
    assert told["check"]["taxon"] == "Trametes versicolor"
    assert len(told["check"]["look_alikes"]) == 107
    assert "may be eaten" in told["caution"]


def test_an_unnamed_find_without_readings_says_what_to_do(collector, browser_of):
    find = FindFactory(finder=collector)
    shown = page(browser_of(collector), f"/finds/{find.pk}/")
    assert "Not named yet" in shown and "Add readings" in shown


def test_notes_are_folded_where_a_doubt_stands(collector, browser_of):
    find = actions.log_find(entry(states("underside", "smooth"), numbers("cap_width", 580.0)), by=collector)
    assert find.flags.filter(severity="note").exists()
    shown = page(browser_of(collector), f"/finds/{find.pk}/")
    assert shown.count("flag--stop") >= 1


def test_a_finder_is_not_told_to_ask_the_finder(collector, curator, browser_of):
    find = actions.log_find(entry(host="oak", specimen_state="fresh"), by=collector)
    assert find.flags.filter(code="host_basis_missing").exists()
    assert "Ask the finder" not in page(browser_of(collector), f"/finds/{find.pk}/")
    assert "Ask the finder" in page(browser_of(curator), f"/finds/{find.pk}/")


@pytest.mark.parametrize(("days", "asks_for_fresh"), [(3, True), (4, False), (46, False)])
def test_nothing_that_drying_destroys_is_asked_of_a_find_of_days_ago(days, asks_for_fresh, collector):
    now = datetime(2026, 11, 26, 12, 0, tzinfo=UTC)
    found_on = (now - timedelta(days)).date()
    logged = actions.log_find(entry(*TWELVE[:2], specimen_state="fresh", found_on=found_on), by=collector)
    shown = FindPage(Find.objects.for_page().get(pk=logged.pk), collector, now=now)
    looks = shown.checkup.result.next_look
    assert looks and any(look.fresh_only for look in looks) is asks_for_fresh
    assert shown.checkup.next == looks[0]
    assert ("while fresh" in shown.checkup.next_says) is asks_for_fresh


@pytest.mark.parametrize("found_on", [None, date(2062, 10, 24)])
def test_where_the_day_is_missing_or_to_come_the_day_of_logging_tells_the_age(found_on, collector):
    logged = actions.log_find(entry(*TWELVE[:2], specimen_state="fresh", found_on=found_on), by=collector)
    find = Find.objects.for_page().get(pk=logged.pk)
    for days, asks_for_fresh in ((1, True), (30, False)):
        shown = FindPage(find, collector, now=find.logged_at + timedelta(days))
        assert any(look.fresh_only for look in shown.checkup.result.next_look) is asks_for_fresh


class TestAnswering:
    def asked(self, find, curator):
        Find.objects.filter(pk=find.pk).update(status=Status.SENT_BACK)
        return QuestionFactory(find=find, asked_by=curator)

    def test_the_finder_sees_the_question_and_a_box(self, find, collector, curator, browser_of):
        self.asked(find, curator)
        shown = page(browser_of(collector), f"/finds/{find.pk}/")
        assert "Was the underside white when fresh?" in shown and 'name="answer"' in shown

    def test_a_stranger_sees_no_box_and_may_not_answer(self, find, stranger, curator, browser_of):
        question = self.asked(find, curator)
        browser = browser_of(stranger)
        assert 'name="answer"' not in page(browser, f"/finds/{find.pk}/")
        sent = browser.post(f"/finds/{find.pk}/answer/", {"question": question.pk, "answer": "Yes."})
        assert sent.status_code == 403

    def test_an_answer_is_kept(self, find, collector, curator, browser_of):
        question = self.asked(find, curator)
        data = {"question": question.pk, "answer": "White."}
        assert browser_of(collector).post(f"/finds/{find.pk}/answer/", data).status_code == 302
        question.refresh_from_db()
        assert (question.answer, question.answered_by) == ("White.", collector)

    def test_an_empty_answer_is_refused_in_words(self, find, collector, curator, browser_of):
        question = self.asked(find, curator)
        answer = browser_of(collector).post(
            f"/finds/{find.pk}/answer/", {"question": question.pk, "answer": " "}
        )
        assert (answer.status_code, b"The question stays open" in answer.content) == (422, True)

    @pytest.mark.parametrize("number", ["", "999999", "x"])
    def test_a_question_that_is_not_this_finds_is_not_found(self, find, collector, browser_of, number):
        sent = browser_of(collector).post(f"/finds/{find.pk}/answer/", {"question": number, "answer": "Yes."})
        assert sent.status_code == 404


class TestTheList:
    def test_an_empty_ledger_says_what_to_do_next(self, collector, browser_of):
        assert "No finds yet" in page(browser_of(collector), "/finds/")

    def test_a_filter_without_a_match_leads_back(self, find, collector, browser_of):
        assert "No find matches" in page(browser_of(collector), "/finds/?q=zzz")

    @pytest.mark.parametrize(
        ("query", "there"),
        [
            ("show=mine", True),
            ("show=held", True),
            ("show=settled", False),
            ("q=versicolor", True),
            ("q=at+1", True),
            ("q=ada", True),
            ("taxon=trametes-versicolor", True),
            ("taxon=trametes-hirsuta", False),
            ("show=nonsense", True),
            ("foray=x&taxon=y&page=z", True),
        ],
    )
    def test_filters(self, find, collector, browser_of, query, there):
        assert (f"/finds/{find.pk}/" in page(browser_of(collector), f"/finds/?{query}")) is there

    def test_others_finds_are_not_mine(self, find, stranger, browser_of):
        assert str(find.pk) not in page(browser_of(stranger), "/finds/?show=mine")

    def test_pages_keep_the_filter(self, collector, browser_of):
        taxon = TaxonFactory(name="Trametes versicolor")
        for _ in range(41):
            name_find(FindFactory(finder=collector), taxon)
        shown = page(browser_of(collector), "/finds/?show=mine&q=versicolor")
        (onward,) = re.findall(r'rel="next" href="([^"]+)"', shown)
        assert {"show=mine", "q=versicolor"} <= set(onward.lstrip("?").split("&amp;")) and ">41</p>" in shown

    def test_a_forays_finds_can_be_listed(self, collector, leader, browser_of):
        foray = ForayFactory(leader=leader)
        find = FindFactory(finder=collector, foray=foray)
        other = FindFactory(finder=collector)
        shown = page(browser_of(collector), f"/finds/?foray={foray.pk}")
        assert str(find.pk) in shown and str(other.pk) not in shown


def test_look_alikes_that_sources_name_are_told_apart_from_taxa_that_are_merely_open(collector, browser_of):
    one, other = (Taxon.objects.get(name=name) for name in ("Stereum subtomentosum", "Trametes versicolor"))
    what = "subtomentosum: smooth underside; versicolor: pores"
    LookAlike.objects.create(taxon_a=one, taxon_b=other, what_parts_them=what, source=SourceFactory())
    find = actions.log_find(entry(*TWELVE, name="Trametes versicolor"), by=collector)
    alike = FindPage(Find.objects.for_page().get(pk=find.pk), collector).documented_alike
    assert [name for name, _ in alike] == ["Stereum subtomentosum"]
    shown = page(browser_of(collector), f"/finds/{find.pk}/")
    assert "Named as its look-alikes:" in shown
    assert shown.count("named as its look-alike</span>") == 1
