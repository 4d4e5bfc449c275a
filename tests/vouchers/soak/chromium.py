"""One person before a real Chromium: the same finds' way, by clicking and typing on the pages, while workers are killed.

Run in a process of its own, as `web_writer.py` is, and takes the same JSON.
"""

import json
import shutil
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from typing import Any
from urllib.parse import urlsplit

from lxml import html
from playwright.sync_api import Error, Locator, Page, Request, Response, sync_playwright

from tests.vouchers.soak.carrying import CutOff, Refused, carry, take_stock
from tests.vouchers.soak.http_browser import BUSY, BUSY_FOR_S
from tests.vouchers.soak.pages import Answer, form_of
from tests.vouchers.soak.plan import CHROMIUM, Job
from tests.vouchers.soak.web_hands import WebHands

ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"]
WAITS_S = 120
# What Playwright says where nothing came, or where Chromium's own page about it came.
_NO_ANSWER = ("net::ERR", "interrupted by another navigation", "Timeout")
ALL_SENT = "All that was seen is on the ledger."


class ChromiumBrowser:
    """A page of Chromium. What a kill cuts off is CutOff, whatever Chromium itself sent again before."""

    def __init__(self, page: Page) -> None:
        self.page = page
        page.set_default_timeout(1000 * WAITS_S)
        self.shown = Answer(0, "/", "text/html", b"<p>")
        self._came: Response | None = None
        self._is_cut_off = False
        page.on("response", self._note_answer)
        page.on("requestfailed", self._note_failure)

    def _note_answer(self, answer: Response) -> None:
        is_ours = answer.url.startswith("http://127.0.0.1:")  # not the viewer of PDFs, which is pages as well
        if is_ours and answer.request.is_navigation_request() and not 300 <= answer.status < 400:
            self._came = answer

    def _note_failure(self, request: Request) -> None:
        self._is_cut_off = self._is_cut_off or request.is_navigation_request()

    def open(self, path: str) -> Answer:
        return self._after(lambda: self.page.goto(path, wait_until="commit"))

    def send(self, fill: dict[str, Any], *, action: str = "", button: str = "") -> Answer:
        tree = html.fromstring(self.page.content())
        at = tree.xpath("//form").index(form_of(tree, set(fill), action))
        form = self.page.locator("form").nth(at)
        for name, value in fill.items():
            _fill(form, name, value)
        name, _, value = button.partition("=")
        wanted = f'button[name="{name}"][value="{value}"]' if button else "button[type=submit]"
        press = form.locator(wanted).first
        return self._after(lambda: press.click(no_wait_after=True))

    def walk(self, walk: str, box: int, codes: list[str]) -> None:
        """Type on the page of the walk; it sends by itself, and again where nothing came back."""
        self.open(f"/stocktake/walk/?stocktake={walk.strip('/').split('/')[-1]}")
        self.page.get_by_text("Stocktake of").first.wait_for()
        for code in (f"PLACE {box}", *codes):
            self.page.get_by_label("Or type the code").fill(code)
            self.page.keyboard.press("Enter")
        until = time.monotonic() + WAITS_S
        while ALL_SENT not in self.page.locator("#walk-waits").inner_text():
            # It goes by itself; the button is there only while it waits.
            with suppress(Error):
                self.page.locator("#walk-send").click(timeout=200)
            if time.monotonic() > until:
                raise Refused(f"the walk was not sent: {self.page.locator('#walk-told').inner_text()}")
            self.page.wait_for_timeout(200)

    def _after(self, act: Callable[[], object]) -> Answer:
        """Do what makes the page go elsewhere, and wait for what comes."""
        self._came, self._is_cut_off = None, False
        try:
            self._leave_behind()
            act()
            until = time.monotonic() + WAITS_S
            while self._came is None and not self._is_cut_off and time.monotonic() < until:
                self.page.wait_for_timeout(20)
            if self._came is None:
                raise CutOff("no answer in Chromium")
            return self._answer(self._came)
        except Error as trouble:
            if any(words in str(trouble) for words in _NO_ANSWER):
                raise CutOff(str(trouble).splitlines()[0]) from trouble
            raise

    def _answer(self, came: Response) -> Answer:
        kind = came.headers.get("content-type", "")
        path = urlsplit(came.url).path
        if came.status == BUSY:
            self.page.wait_for_timeout(1000 * BUSY_FOR_S)
            raise CutOff("busy")
        if came.status >= 500:
            raise AssertionError(f"{came.request.method} {path} answered {came.status}: {came.text()[:2000]}")
        if kind.startswith("application/pdf"):
            return Answer(came.status, path, kind, b"")  # Chromium's viewer has it, and hands out no bytes
        if not kind.startswith("text/html"):
            return Answer(came.status, path, kind, came.body())
        # The answer is there before its page is.
        while not self._is_there():
            self.page.wait_for_timeout(20)
        self.shown = Answer(came.status, urlsplit(self.page.url).path, kind, self.page.content().encode())
        return self.shown

    def _leave_behind(self) -> None:
        """Mark the page that is shown. After a kill Chromium's own page about it may still be on its way."""
        while True:
            try:
                self.page.evaluate("window.leftBehind = true")
            except Error:
                self.page.wait_for_timeout(50)
            else:
                return

    def _is_there(self) -> bool:
        try:
            return bool(self.page.evaluate("!window.leftBehind && document.readyState === 'complete'"))
        except Error:
            return False  # between the two pages


def _fill(form: Locator, name: str, value: Any) -> None:
    box = form.locator(f'[name="{name}"]')
    kind = box.first.get_attribute("type")
    if kind == "hidden":
        return
    for one in [value] if isinstance(value, str) else value:
        here = form.locator(f'[name="{name}"][value="{one}"]') if kind in ("checkbox", "radio") else box.first
        if not here.count():
            raise LookupError(f"{name} does not offer {one}")
        closed = here.locator("xpath=ancestor::details[not(@open)]")
        while closed.count():
            closed.first.locator("> summary").click()
        if kind in ("checkbox", "radio"):
            if not here.is_checked():
                label = here.locator("xpath=ancestor::label")
                (label if label.count() else here).first.click()
        elif here.evaluate("box => box.tagName") == "SELECT":
            here.select_option(one)
        else:
            here.fill(one)


def main() -> None:
    asked = json.load(sys.stdin)
    done: Counter[str] = Counter()
    told: Counter[str] = Counter()
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if not path:
        sys.exit("Chromium is missing. Run the soak by make soak, which installs it.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        page = browser.new_context(
            base_url=f"http://127.0.0.1:{asked['port']}", locale="en-GB", service_workers="block"
        ).new_page()
        hands = WebHands(ChromiumBrowser(page), asked["names"], asked["began"])
        hands.sign_in(asked["people"][0][1], asked["password"])
        for job in (Job(**job) for job in asked["jobs"] if job["turn"] == CHROMIUM):
            carry(job, hands, done, told)
        if not take_stock(asked["boxes"][-1], hands, done, told):
            sys.exit("The box of Chromium's own finds is empty.")
        browser.close()
    json.dump({"done": done, "told": told, "papers": hands.papers}, sys.stdout)


if __name__ == "__main__":
    main()
