"""The menu: one list of ways in one order, on the pages of the ledger and on those a phone keeps."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from ledger.people.models import Member
from ledger.phone.kept_pages import kept_pages

PEOPLE = ("collector", "leader", "curator", "keeper")
KEPT = [page.name for page in kept_pages()]


def bar(html: str) -> str:
    found = re.search(r'<nav class="ways__bar.*?</nav>', html, re.DOTALL)
    assert found
    return found[0]


def words(menu: str) -> list[str]:
    """What stands in it, in order; `held` counts are left out."""
    found = re.findall(r'<(?:a|button) class="ways__link[^>]*>(.*?)</(?:a|button)>', menu, re.DOTALL)
    return [re.sub(r"<.*", "", re.sub(r"<svg.*?</svg>", "", text), flags=re.DOTALL).strip() for text in found]


def shown_to(menu: str, role: str) -> str:
    """A kept menu as ways.js leaves it for whoever has that role and is signed in."""
    # The beginning of a fold is a piece of its own, so that it does not speak for the first entry in it.
    entries = re.findall(r"<li.*?(?=<li|</ul>)", menu, re.DOTALL)

    def is_for(entry: str) -> bool:
        roles = re.search(r'data-roles="([^"]*)"', entry)
        return (role in roles[1].split()) if roles else 'data-signed="out"' not in entry

    return "".join(filter(is_for, entries))


@pytest.mark.parametrize("person", PEOPLE)
@pytest.mark.parametrize("kept", KEPT)
def test_a_kept_page_has_the_ways_of_the_ledger_in_the_same_order(
    kept: str,
    person: str,
    request: pytest.FixtureRequest,
    reference: object,
    nobody: Client,
    browser_of: Callable[[Member], Client],
) -> None:
    member: Member = request.getfixturevalue(person)
    of_ledger = words(bar(browser_of(member).get("/").content.decode()))
    of_phone = words(shown_to(bar(nobody.get(reverse(kept)).content.decode()), member.role))
    assert of_phone == of_ledger


def test_outbox_foray_table_and_slips_are_among_them_for_everybody(
    collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    assert words(bar(browser_of(collector).get("/").content.decode())) == [
        *(
            "Log a find",
            "Outbox",
            "Finds",
            "Year",
            "Forays",
            "Foray table",
            "Slips",
            "Taxa",
            "My page",
            "Sign out",
        ),
    ]


@pytest.mark.parametrize("kept", KEPT)
def test_what_a_role_opens_stands_hidden_on_a_kept_page_until_the_phone_knows_who_is_there(
    kept: str, reference: object, nobody: Client
) -> None:
    menu = bar(nobody.get(reverse(kept)).content.decode())
    closed = [entry for entry in re.findall(r"<li.*?</li>", menu, re.DOTALL) if "hidden>" not in entry]
    assert words("".join(closed)) == [
        *("Log a find", "Outbox", "Finds", "Year", "Forays", "Foray table", "Slips", "Taxa", "My page"),
    ]


@pytest.mark.parametrize(
    ("address", "word"),
    [
        *(("/phone/outbox/", "Outbox"), ("/phone/table/", "Foray table"), ("/phone/form/", "Log a find")),
        *(("/finds/log/", "Log a find"), ("/q/", "Slips"), ("/finds/", "Finds")),
    ],
)
def test_the_way_to_the_page_that_is_open_is_marked_and_no_other(
    address: str, word: str, reference: object, collector: Member, browser_of: Callable[[Member], Client]
) -> None:
    menu = bar(browser_of(collector).get(address).content.decode())
    marked = [entry for entry in re.findall(r"<li.*?</li>", menu, re.DOTALL) if "aria-current" in entry]
    assert words("".join(marked)) == [word]
