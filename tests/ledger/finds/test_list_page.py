"""The rows of the list of finds, as a member reads them."""

import pytest

from ledger.finds import actions
from ledger.finds.models import Status
from tests.ledger.finds.making import TWELVE, entry

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _with_reference(reference):
    pass


def _row(collector, browser_of):
    page = browser_of(collector).get("/finds/").content.decode()
    return page.partition('<li class="row list-row">')[2].partition("</li>")[0]


def test_a_row_names_the_taxon_without_its_authority(collector, browser_of):
    actions.log_find(entry(*TWELVE, name="Trametes versicolor (L.) Lloyd"), by=collector)
    row = _row(collector, browser_of)
    assert "<i>Trametes versicolor</i>" in row and "Lloyd" not in row


def test_a_held_find_says_so_in_a_word_under_its_date(collector, browser_of):
    find = actions.log_find(entry(*TWELVE, name="Ganoderma applanatum"), by=collector)
    assert find.status == Status.HELD
    side = _row(collector, browser_of).partition("list-row__side")[2]
    assert side.index(find.collecting_number) < side.index('<span class="mark__word">held</span>')


def test_a_find_that_waits_for_nobody_says_nothing_of_its_status(collector, browser_of):
    find = actions.log_find(entry(*TWELVE), by=collector)
    find.status = Status.LOGGED
    find.save(update_fields=["status"])
    assert "mark__word" not in _row(collector, browser_of)
