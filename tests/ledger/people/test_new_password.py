"""A forgotten password: the keeper's link, for one day, until it is used."""

import re
from collections.abc import Callable

from django.test import Client

from ledger.people.models import Member

NEW = {"new_password1": "heartwood-lantern-7", "new_password2": "heartwood-lantern-7"}


def _link(keeper_browser: Client, member: Member) -> str:
    page = keeper_browser.post(f"/people/{member.pk}/new-password/").content.decode()
    found = re.search(r"http://testserver(/new-password/\S+?)\"", page)
    assert found
    return found[1]


def test_the_link_lets_a_member_choose_a_new_password(
    collector: Member, keeper: Member, nobody: Client, browser_of: Callable[[Member], Client]
) -> None:
    nobody.post(_link(browser_of(keeper), collector), NEW)
    collector.refresh_from_db()
    assert collector.check_password("heartwood-lantern-7")


def test_the_link_opens_once(
    collector: Member, keeper: Member, nobody: Client, browser_of: Callable[[Member], Client]
) -> None:
    link = _link(browser_of(keeper), collector)
    nobody.post(link, NEW)
    assert nobody.get(link).status_code == 410


def test_one_member_s_link_opens_no_other_s(
    collector: Member,
    stranger: Member,
    keeper: Member,
    nobody: Client,
    browser_of: Callable[[Member], Client],
) -> None:
    link = _link(browser_of(keeper), collector)
    assert nobody.get(link.replace(f"/{collector.pk}/", f"/{stranger.pk}/")).status_code == 410


def test_a_member_cannot_make_such_a_link(
    collector: Member, stranger: Member, browser_of: Callable[[Member], Client]
) -> None:
    assert browser_of(stranger).post(f"/people/{collector.pk}/new-password/").status_code == 403
