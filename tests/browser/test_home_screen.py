"""How the ledger gets onto the home screen of a phone: said where it is not there, and only on phones."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from ledger.people.models import Member
from tests.browser.conftest import DESK

ANDROID = "Mozilla/5.0 (Linux; Android 14; Pixel 8) AppleWebKit/537.36 Chrome/130.0 Mobile Safari/537.36"
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 Version/17.5 Mobile Safari/604.1"
OPENED_FROM_THERE = """
  const asked = window.matchMedia.bind(window);
  window.matchMedia = (query) => (query.includes("standalone") ? { matches: true } : asked(query));
"""
LINE = "[data-home-screen]"
pytestmark = pytest.mark.usefixtures("reference")


@pytest.mark.parametrize(
    ("agent", "said", "not_said"),
    [
        (ANDROID, "tap “Install” or “Add to home screen”", "share button"),
        (IPHONE, "share button of the browser, then “Add to Home Screen”", "“Install”"),
    ],
    ids=["android", "iphone"],
)
@pytest.mark.parametrize("path", ["/", "/me/"])
def test_a_phone_is_told_how_by_its_own_browser(
    path: str, agent: str, said: str, not_said: str, collector: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=collector, user_agent=agent)
    page.goto(path)
    line = page.locator(LINE)
    expect(line).to_be_visible()
    shown = line.inner_text()
    assert said in shown and not_said not in shown


def test_nothing_is_said_where_it_was_opened_from_the_home_screen(
    collector: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=collector, user_agent=ANDROID)
    page.add_init_script(OPENED_FROM_THERE)
    page.goto("/me/")
    expect(page.get_by_role("heading", name="Name on labels")).to_be_visible()
    expect(page.locator(LINE)).to_be_hidden()


def test_nothing_is_said_at_a_desk(collector: Member, open_page: Callable[..., Page]) -> None:
    page = open_page(as_=collector, viewport=DESK)
    page.goto("/me/")
    expect(page.locator(LINE)).to_be_hidden()
