"""The form without a signal, in Chromium with a profile on disk, against a ledger that is really stopped and changed."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import ARGUMENTS, PHONE, chromium_path
from tests.running import RunningLedger

FORM = "/finds/log/"
# Waited for inside one evaluation: the content security policy forbids what Playwright's own waiting does.
KEPT = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
# Once it was tried to keep the release: a registration whose first worker failed is gone again.
TRIED = """async () => {
  const registration = await navigator.serviceWorker.register(document.body.dataset.worker, { type: "module" });
  while (registration.installing) await new Promise((resolve) => setTimeout(resolve, 50));
  return Boolean(registration.waiting ?? registration.active);
}"""
# Until the form of a language is the one that is kept.
TAKEN_IN = """async (language) => {
  const isTaken = async () => (await (await caches.match("/phone/language-taken"))?.text()) === language;
  while (!(await isTaken())) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
# A find that is being typed, by the page's own store.
TYPE = """async (state) => {
  const store = globalThis.packedModules["js/phone/store.js"];
  if (state) await store.putFind({ id: "a-find", member: 1, state, fields: [], photos: [], madeAt: 1, changedAt: 1 });
  else await store.removeFind("a-find");
}"""


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> RunningLedger:
    ledger = RunningLedger(tmp_path_factory.mktemp("ledger"))
    ledger.prepare()
    return ledger


@pytest.fixture
def ledger(prepared: RunningLedger) -> Iterator[RunningLedger]:
    name_club(prepared, "Hollin Fungus Group")
    prepared.start()
    yield prepared
    prepared.stop()


@pytest.fixture
def phone(chromium: Browser, tmp_path: Path, ledger: RunningLedger) -> Iterator[Callable[[], Page]]:
    """A browser with a profile on disk. Called again, it is closed and started anew with the same profile."""
    contexts: list[BrowserContext] = []

    def started() -> Page:
        for context in contexts:
            context.close()
        contexts[:] = [
            chromium.browser_type.launch_persistent_context(
                tmp_path / "profile",
                executable_path=chromium_path(),
                args=ARGUMENTS,
                base_url=ledger.address,
                viewport=PHONE,  # type: ignore[arg-type]
                locale="en-GB",
            )
        ]
        contexts[0].set_default_timeout(30_000)
        return contexts[0].new_page()

    yield started
    for context in contexts:
        context.close()


def name_club(ledger: RunningLedger, name: str) -> None:
    """The club's name stands on every kept page: another name is another release."""
    ledger.python(
        "from ledger.club.models import Club\n"
        f"Club.objects.update_or_create(pk=1, defaults={{'name': {name!r}, 'accession_prefix': 'HFG'}})"
    )


def first_visit(page: Page) -> None:
    """Online, until all is kept."""
    page.goto("/phone/form/")
    page.evaluate(KEPT)


def opens(page: Page) -> None:
    page.goto(f"{FORM}?draft=00000000-0000-4000-8000-000000000000")
    expect(page.get_by_role("heading", level=1)).to_have_text("Log a find")
    expect(page.locator("html")).to_have_class("with-script")
    assert is_whole(page)


def is_whole(page: Page) -> bool:
    """Whether the page has its styles, its faces and its drawings."""
    whole: bool = page.evaluate("""async () => {
      await document.fonts.ready;
      const named = [...document.querySelectorAll("use")].map((use) => use.getAttribute("href").split("#")[0]);
      const isThere = (address) => fetch(address).then((answer) => answer.ok, () => false);
      const drawings = await Promise.all([...new Set(named)].map(isThere));
      return drawings.length > 0 && drawings.every(Boolean)
        && [...document.styleSheets].every((sheet) => sheet.cssRules.length > 0)
        && [...document.fonts].some((face) => face.family.includes("Literata") && face.status === "loaded");
    }""")
    return whole


def test_the_form_opens_without_the_ledger_from_the_second_visit_on_and_after_a_restart(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    ledger.stop()
    opens(page)
    opens(phone())


@pytest.mark.parametrize(
    ("path", "heading"), [("/phone/outbox/", "Outbox"), ("/phone/table/?foray=1", "Foray table")]
)
def test_outbox_and_foray_table_open_without_the_ledger(
    path: str, heading: str, phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    ledger.stop()
    page.goto(path)
    expect(page.get_by_role("heading", level=1)).to_have_text(heading)
    assert is_whole(page)


def test_any_other_page_without_a_signal_says_so_and_leads_back_to_the_form(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    ledger.stop()
    page.goto("/finds/")
    expect(page.get_by_role("heading", level=1)).to_have_text("No signal")
    main = page.get_by_role("main")
    expect(main.get_by_role("alert")).to_have_count(0)
    expect(main.locator(".trouble")).to_have_count(0)
    for name in ("Log a find", "Outbox", "Foray table"):
        expect(main.get_by_role("link", name=name)).to_be_visible()
    expect(main.get_by_text("None is kept on this phone")).to_be_visible()
    main.get_by_role("link", name="Log a find").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Log a find")
    ledger.start()
    page.goto("/finds/")
    expect(page.get_by_label("Sign-in name")).to_be_visible()


def test_a_newer_release_is_offered_and_taken_only_by_a_tap(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    name_club(ledger, "Sorrel Fungus Group")
    line = page.locator("#newer-form")
    club = page.locator(".masthead__club")

    page.goto(FORM)
    expect(line).to_be_visible()
    expect(club).to_have_text("Hollin Fungus Group")
    page.reload()
    expect(club).to_have_text("Hollin Fungus Group")

    # A browser that was closed begins with the newer worker; the form is still the one that was taken.
    page = phone()
    line, club = page.locator("#newer-form"), page.locator(".masthead__club")
    page.goto(FORM)
    expect(line).to_be_visible()
    expect(club).to_have_text("Hollin Fungus Group")

    line.get_by_role("button", name="Take it").click()
    expect(club).to_have_text("Sorrel Fungus Group")
    expect(line).to_be_hidden()
    ledger.stop()
    page.goto(FORM)
    expect(club).to_have_text("Sorrel Fungus Group")


def test_a_newer_release_waits_while_a_find_is_being_typed(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    page.evaluate(TYPE, "typing")
    name_club(ledger, "Sorrel Fungus Group")
    line = page.locator("#newer-form")
    page.goto(FORM)
    expect(line).to_contain_text("It waits until the find you are typing is kept")
    expect(line.get_by_role("button")).to_be_hidden()
    page.evaluate(TYPE, None)
    page.goto(FORM)
    expect(line.get_by_role("button", name="Take it")).to_be_visible()
    # Begun meanwhile, as in another tab: the tap finds it, and nothing is taken.
    page.evaluate(TYPE, "typing")
    line.get_by_role("button").click()
    expect(line).to_contain_text("It waits until the find you are typing is kept")
    expect(page.locator(".masthead__club")).to_have_text("Hollin Fungus Group")


def test_a_release_that_cannot_be_fetched_whole_is_not_kept_at_all(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    (face,) = (ledger.var / "static/fonts/screen/literata").glob("literata-latin-ext-italic.*.woff2")
    away = face.with_suffix(".away")
    ledger.stop()
    face.rename(away)
    try:
        ledger.start()
        page = phone()
        page.goto("/phone/form/")
        assert page.evaluate(TRIED) is False
    finally:
        ledger.stop()
        away.rename(face)
    ledger.start()
    first_visit(page)


def test_who_chooses_another_language_has_the_form_in_it_without_a_tap(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    page.goto("/sign-in/")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    page.evaluate(TAKEN_IN, "de")
    page.goto(FORM)
    expect(page.locator("html")).to_have_attribute("lang", "de")
    ledger.stop()
    page.goto(FORM)
    expect(page.locator("html")).to_have_attribute("lang", "de")
    ledger.start()


def test_another_language_waits_while_a_find_is_being_typed(
    phone: Callable[[], Page], ledger: RunningLedger
) -> None:
    page = phone()
    first_visit(page)
    page.evaluate(TYPE, "typing")
    page.goto("/sign-in/")
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("#newer-form")).to_be_visible()
    page.goto(FORM)
    expect(page.locator("html")).to_have_attribute("lang", "en-GB")
