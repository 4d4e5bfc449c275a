"""Whose find it is, put right after it was keyed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from ledger.finds.models import Find
from ledger.people.models import Member
from ledger.traits.reference import Reference
from tests.factories import FindFactory
from tests.ledger.phone.messages import find_message, send_find

Browsers = Callable[[Member], Client]


@pytest.fixture
def find(reference: Reference, collector: Member, stranger: Member) -> Find:
    """The collector keyed it at a table for the stranger."""
    return FindFactory(finder=stranger, logged_by=collector, collecting_serial=7)


def change(browser: Client, find: Find, finder: Member, **more: Any) -> Any:
    sent = {"finder": finder.pk, "version": find.version} | more
    return browser.post(f"/finds/{find.pk}/finder/", sent)


@pytest.mark.parametrize("who", ["collector", "curator"])
def test_who_keyed_it_and_curators_change_the_finder_and_the_number_stays(
    who: str, find: Find, leader: Member, browser_of: Browsers, request: pytest.FixtureRequest
) -> None:
    by = request.getfixturevalue(who)
    assert change(browser_of(by), find, leader).status_code == 302
    find.refresh_from_db()
    assert (find.finder, find.collecting_number, find.version) == (leader, "SO 7", 2)
    line = find.changes.get(field="whose find")
    assert (line.old, line.new, line.by) == ("Sam Oakley", "Lewis Marsh", by)


def test_a_finder_who_did_not_key_it_cannot_pass_it_on(
    find: Find, stranger: Member, leader: Member, browser_of: Browsers
) -> None:
    assert change(browser_of(stranger), find, leader).status_code == 403
    assert "/finder/" not in browser_of(stranger).get(f"/finds/{find.pk}/").content.decode()


def test_a_guest_is_named_and_taken_back(find: Find, collector: Member, browser_of: Browsers) -> None:
    browser = browser_of(collector)
    change(browser, find, collector, found_by=" Rowan\u200b  Guest ")
    find.refresh_from_db()
    assert (find.finder, find.found_by_name) == (collector, "Rowan Guest")
    change(browser, find, collector, found_by="")
    find.refresh_from_db()
    assert find.found_by_name == "Ada Thorne"


def test_nothing_is_written_where_nothing_is_changed(
    find: Find, collector: Member, stranger: Member, browser_of: Browsers
) -> None:
    change(browser_of(collector), find, stranger)
    find.refresh_from_db()
    assert (find.version, find.changes.count()) == (1, 0)


def test_a_find_that_was_changed_meanwhile_keeps_its_finder_and_the_choice_stays(
    find: Find, collector: Member, leader: Member, browser_of: Browsers
) -> None:
    Find.objects.filter(pk=find.pk).update(version=4)
    answer = change(browser_of(collector), find, leader)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "was changed by somebody else" in page
    assert f'<option value="{leader.pk}" selected>' in page
    assert 'name="version" value="4"' in page
    assert Find.objects.get(pk=find.pk).finder != leader


def test_a_member_who_is_none_any_longer_is_refused_in_words(
    find: Find, collector: Member, leader: Member, browser_of: Browsers
) -> None:
    Member.objects.filter(pk=leader.pk).update(is_active=False)
    answer = change(browser_of(collector), find, leader)
    assert answer.status_code == 422
    assert "no member any longer" in answer.content.decode()


def test_a_number_typed_afterwards_is_of_the_row_of_its_code(
    find: Find, collector: Member, stranger: Member, leader: Member, browser_of: Browsers
) -> None:
    browser = browser_of(collector)
    change(browser, find, leader)
    sent = {
        "find_id": str(find.pk),
        "do": "keep",
        "version": 2,
        "serial": "9",
        "locality": "Below the bridge",
    }
    assert browser.post(f"/finds/{find.pk}/amend/", sent).status_code == 302
    find.refresh_from_db()
    assert find.collecting_number == "SO 9"
    stranger.refresh_from_db()
    leader.refresh_from_db()
    # Somebody else typed it: it moves neither row, and that of its code passes over it.
    assert (stranger.next_serial, leader.next_serial) == (1, 1)


def test_what_a_phone_still_says_of_the_finder_does_not_undo_it(
    reference: Reference, collector: Member, stranger: Member, leader: Member, browser_of: Browsers
) -> None:
    browser = browser_of(collector)
    first = find_message(collector, ("locality", "Here"), finder=stranger.pk, typed=1)
    send_find(browser, first)
    find = Find.objects.get()
    change(browser, find, leader)
    find.refresh_from_db()
    seen = {"find": first["find"], "version": find.version, "opened_at": find.changed_at.isoformat()}
    answer = send_find(
        browser, find_message(collector, ("locality", "There"), finder=stranger.pk, typed=9, **seen)
    )
    find.refresh_from_db()
    assert (answer.status_code, find.locality, find.finder, str(find)) == (200, "There", leader, "SO 1")
