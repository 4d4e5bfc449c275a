"""What the ledger tells a foray's table."""

from collections.abc import Callable

from django.test import Client

from ledger.finds.models import Find
from ledger.forays.models import Foray
from ledger.people.models import Member
from tests.factories import FindFactory, ForayFactory, TaxonFactory, name_find

BrowserOf = Callable[[Member], Client]


def listed(client: Client, foray: Foray) -> dict[str, dict[str, str]]:
    answer = client.get(f"/phone/table/{foray.pk}.json")
    assert answer.status_code == 200
    return {row["id"]: row for row in answer.json()["finds"]}


def test_a_find_of_the_foray_is_told_with_its_finder_and_who_sent_it(
    collector: Member, leader: Member, browser_of: BrowserOf
) -> None:
    foray = ForayFactory(leader=leader)
    find = FindFactory(finder=collector, logged_by=leader, foray=foray, collecting_serial=4)
    name_find(find, TaxonFactory())
    assert listed(browser_of(collector), foray) == {
        str(find.pk): {
            "id": str(find.pk),
            "number": "AT 4",
            "finder": "Ada Thorne",
            "name": "Trametes versicolor",
            "by": "Lewis Marsh",
            "logged_at": find.logged_at.isoformat(),
        }
    }


def test_a_guest_is_told_as_the_finder(collector: Member, browser_of: BrowserOf) -> None:
    find = FindFactory(finder=collector, foray=ForayFactory(), found_by="Prof. Elm")
    assert listed(browser_of(collector), find.foray)[str(find.pk)]["finder"] == "Prof. Elm"


def test_finds_of_other_forays_are_not_told(collector: Member, browser_of: BrowserOf) -> None:
    FindFactory(finder=collector, foray=ForayFactory(name="Another"))
    FindFactory(finder=collector)
    assert listed(browser_of(collector), ForayFactory()) == {}


def test_a_sensitive_find_is_told_only_to_those_who_may_know_its_foray(
    collector: Member, stranger: Member, leader: Member, curator: Member, browser_of: BrowserOf
) -> None:
    foray = ForayFactory(leader=leader)
    find: Find = FindFactory(finder=collector, foray=foray, own_blur_step_deg=0.1)
    knows = {
        who.sign_in_name: str(find.pk) in listed(browser_of(who), foray)
        for who in (collector, stranger, leader, curator)
    }
    assert knows == {"collector": True, "stranger": False, "leader": True, "curator": True}


def test_nothing_of_a_place_is_told(collector: Member, browser_of: BrowserOf) -> None:
    find = FindFactory(finder=collector, foray=ForayFactory(place="Secret Dell"), locality="below the quarry")
    answer = browser_of(collector).get(f"/phone/table/{find.foray_id}.json").content.decode()
    assert not [word for word in ("51.2", "-2.34", "quarry", "Dell", "Hollin") if word in answer]


def test_a_foray_that_is_not_there_is_said_to_be_so(collector: Member, browser_of: BrowserOf) -> None:
    answer = browser_of(collector).get("/phone/table/999.json")
    assert (answer.status_code, answer.json()["wrong"]) == (404, "This foray is not in the ledger.")
