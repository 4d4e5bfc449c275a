"""The way in, in a real browser."""

from collections.abc import Callable

from playwright.sync_api import Page, expect

from ledger.people.actions import invite
from ledger.people.models import Role
from tests.factories import FindFactory


def test_an_invited_person_joins_on_the_phone(transactional_db: None, open_page: Callable[..., Page]) -> None:
    _, token = invite(role=Role.MEMBER, now=FindFactory.build().logged_at)
    page = open_page()
    page.goto(f"/join/{token}/")
    page.get_by_label("Full name").fill("Nell Fairhurst")
    page.get_by_label("Collector's code").fill("nf")
    page.get_by_label("Sign-in name").fill("nell")
    page.get_by_label("Password").fill("chestnut-rain-41")
    page.get_by_role("button", name="Join").click()
    expect(page.get_by_text("Your first collecting number is NF 1")).to_be_visible()
