"""Debian's Chromium through Playwright, against the running ledger."""

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connections
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect, sync_playwright

from ledger.people.models import Member
from tests.people import PASSWORD

# Playwright's own loop runs in this thread; Django would take any query of the test itself for one inside it.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

ARGUMENTS = [
    *("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync"),
]
# Two cores that do other work as well are slow at times; a wait costs nothing where none is needed.
expect.set_options(timeout=20_000)

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1360, "height": 900}
# What the browser writes of each thing a page asks for while a test has taken the network away. A page asks at any
# moment, also after the last line of the test; and nothing else makes the browser write it.
LOST_NETWORK = "net::ERR_INTERNET_DISCONNECTED"
FAILURES = Path(__file__).resolve().parent / "failures"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: Any) -> Any:
    report = yield
    if report.when == "call":
        item.stash[_FAILED] = report.failed
    return report


_FAILED = pytest.StashKey[bool]()


def chromium_path() -> str:
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    assert path, "Chromium is missing. Run the tests by make test, which installs it."
    return path


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        yield browser
        # While Playwright's loop runs in this thread, Django keeps its connections apart from those outside the loop;
        # they must be ended here, or PostgreSQL cannot drop the test database afterwards.
        connections.close_all()
        browser.close()


@pytest.fixture
def open_page(
    chromium: Browser, live_server: Any, request: pytest.FixtureRequest
) -> Iterator[Callable[..., Page]]:
    """A page of its own browser context. The test fails where a page wrote an error to the console.

    Without `service_workers="allow"` the ledger itself answers every visit, as in a browser that knows no service worker.
    """
    contexts: list[BrowserContext] = []
    pages: list[Page] = []
    errors: list[str] = []

    def opened(*, as_: Member | None = None, **options: Any) -> Page:
        options.setdefault("service_workers", "block")
        context = chromium.new_context(
            base_url=live_server.url, viewport=options.pop("viewport", PHONE), locale="en-GB", **options
        )
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda line: _noted(line, errors))
        page.on("pageerror", lambda error: errors.append(str(error)))
        pages.append(page)
        if as_ is not None:
            sign_in(page, as_.sign_in_name)
        return page

    opened.errors = errors  # type: ignore[attr-defined]  # a test that provokes a 4xx answer empties it
    # What may come again at any moment, as of an answer that the page asks for anew, is named here instead.
    opened.provoked = provoked = []  # type: ignore[attr-defined]
    yield opened
    if request.node.stash.get(_FAILED, False):
        FAILURES.mkdir(exist_ok=True)
        for number, page in enumerate(pages):
            page.screenshot(path=FAILURES / f"{request.node.name}-{number}.png", full_page=True)
    for context in contexts:
        context.close()
    all_answered()
    unforeseen = [error for error in errors if not any(words in error for words in provoked)]
    assert unforeseen == [], "errors on the console"


def _noted(line: ConsoleMessage, errors: list[str]) -> None:
    if line.type == "error" and LOST_NETWORK not in line.text:
        errors.append(line.text)


def all_answered() -> None:
    """Wait until the live server has no request left in hand, or only a line that a browser holds open.

    A page that was closed in the middle of sending leaves one behind, and PostgreSQL cannot empty tables that are read.
    """
    until = time.monotonic() + 5
    while time.monotonic() < until and any(
        "process_request_thread" in thread.name for thread in threading.enumerate()
    ):
        time.sleep(0.01)


def sign_in(page: Page, sign_in_name: str) -> None:
    page.goto("/sign-in/")
    page.get_by_label("Sign-in name").fill(sign_in_name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")
