"""The front page: what waits for a member's answer stands on it."""

from ledger.pages import MOST_ASKED
from tests.factories import FindFactory, QuestionFactory


def test_a_question_put_to_a_member_leads_to_its_find(collector, curator, browser_of):
    find = FindFactory(finder=collector, collecting_serial=39)
    QuestionFactory(find=find, asked_by=curator)
    page = browser_of(collector).get("/").content.decode()
    assert "Carys Bowen asks about" in page and "AT 39" in page
    assert f'href="/finds/{find.pk}/#question"' in page


def test_an_answered_question_and_one_to_somebody_else_are_not_shown(
    collector, stranger, curator, browser_of
):
    answered = QuestionFactory(find=FindFactory(finder=collector), asked_by=curator)
    answered.answered_by, answered.answered_at = collector, answered.asked_at
    answered.save()
    QuestionFactory(find=FindFactory(finder=stranger), asked_by=curator)
    assert "asks about" not in browser_of(collector).get("/").content.decode()


def test_of_many_questions_the_oldest_stand_there(collector, curator, browser_of):
    browser = browser_of(collector)
    for _ in range(MOST_ASKED):
        QuestionFactory(find=FindFactory(finder=collector), asked_by=curator)
    page = browser.get("/").content.decode()
    assert (page.count("asks about"), "More questions wait" in page) == (MOST_ASKED, False)
    QuestionFactory(find=FindFactory(finder=collector), asked_by=curator)
    page = browser.get("/").content.decode()
    assert (page.count("asks about"), "More questions wait" in page) == (MOST_ASKED, True)


def test_questions_cost_one_query(collector, curator, browser_of, django_assert_num_queries):
    browser = browser_of(collector)
    with django_assert_num_queries(4) as before:
        browser.get("/")
    for _ in range(3):
        QuestionFactory(find=FindFactory(finder=collector), asked_by=curator)
    with django_assert_num_queries(len(before)):
        browser.get("/")


def test_the_signed_out_are_asked_nothing(db, nobody):
    assert "asks about" not in nobody.get("/").content.decode()
