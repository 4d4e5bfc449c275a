"""The way in, in a real browser."""

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Browser, Page, expect

from ledger.people.actions import invite
from ledger.people.models import Member, Role
from ledger.traits.reference import Reference
from tests.browser.conftest import ARGUMENTS, PHONE, chromium_path, sign_in
from tests.factories import FindFactory

# A moment later, so that what asks for it is answered before the page goes.
BACK = "() => { setTimeout(() => history.back(), 0); }"


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


PUT = """async () => {
  const { putFind } = await import("/static/js/phone/store.js");
  await putFind({ id: "a-find", member: 1, state: "waiting", fields: [], photos: [], madeAt: 1, changedAt: 1 });
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
LEFT = """async () => {
  const { getFind } = await import("/static/js/phone/store.js");
  const form = await caches.match("/phone/form/", { ignoreVary: true });
  return [(await getFind("a-find"))?.state, Boolean(form), Boolean(navigator.serviceWorker.controller)];
}"""


def sign_out(page: Page) -> None:
    page.get_by_text("Menu", exact=True).click()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("link", name="Sign in").first).to_be_visible()


def test_the_way_back_shows_nothing_of_who_has_signed_out(
    chromium: Browser, collector: Member, live_server: Any
) -> None:
    FindFactory(finder=collector, locality="Below the old quarry")
    # As people have it, and Playwright by itself has not: pages that were left are kept whole, to be gone back to.
    browser = chromium.browser_type.launch(
        executable_path=chromium_path(),
        args=ARGUMENTS,
        ignore_default_args=["--disable-back-forward-cache"],
    )
    page = browser.new_page(base_url=live_server.url, viewport=PHONE, service_workers="block")
    sign_in(page, collector.sign_in_name)
    for address in ("/finds/", "/me/"):
        page.goto(address)
    sign_out(page)
    for address in ("/me/", "/finds/"):
        page.evaluate(BACK)
        page.wait_for_url(f"**/sign-in/?next={address}")
        expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
        assert collector.full_name not in page.content()
    page.evaluate(BACK)
    expect(page.get_by_text("Finds, places and people are for members only.")).to_be_visible()
    browser.close()


def test_signing_out_leaves_the_outbox_and_the_kept_pages_on_the_phone(
    reference: Reference, collector: Member, open_page: Callable[..., Page]
) -> None:
    page = open_page(as_=collector, service_workers="allow")
    page.goto("/me/")
    page.evaluate(PUT)
    sign_out(page)
    assert page.evaluate(LEFT) == ["waiting", True, True]
