"""Thirty finds with sixty photos from a phone whose browser is killed, whose line is cut, and whose ledger dies meanwhile.

At the end the ledger holds exactly what was logged, byte for byte, and what was half typed is still in the form.
"""

import hashlib
import json
import os
import random
import secrets
import signal
import sqlite3
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from django.db import connection
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, BrowserType, Error, Page, expect

from tests.browser.conftest import ARGUMENTS, PHONE, chromium_path
from tests.browser.weak_line import WeakLine
from tests.running import RunningLedger

# The ledger of this test runs in processes of its own, on SQLite whatever the suite runs on; once is enough.
pytestmark = pytest.mark.skipif(
    connection.vendor != "sqlite",
    reason="Its ledger is always on SQLite: the run of the suite on SQLite has it.",
)

FORM = "/finds/log/"
FINDS, PHOTOS, CUTS = 30, 60, 50
# Killed in the middle of typing this one; it is typed to its end afterwards.
KILLED_AT = 11
LARGE = 6
VIEWS = ("cap", "underside")
# Twenty keys a second; a thumb makes three or four.
KEY_MS = 50
HALF_TYPED = "Half typed: a crust under the fallen ash beside the upper weir, where the path"
SENDING_S = 240
KEPT = """async () => {
  while (!navigator.serviceWorker.controller) await new Promise((resolve) => setTimeout(resolve, 50));
}"""
# What a phone must have before the signal goes: who holds it, and numbers.
READY = """async () => {
  const open = () => new Promise((resolve, reject) => {
    const request = indexedDB.open("bracket-ledger");
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const kept = (store, name) => new Promise((resolve) => {
    const request = store.transaction("kept").objectStore("kept").get(name);
    request.onsuccess = () => resolve(request.result?.value);
  });
  const store = await open();
  while (!(await kept(store, "hello")) || !(await kept(store, "blocks"))) {
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  store.close();
}"""
ON_PHONE = """async () => {
  const store = await new Promise((resolve) => {
    const request = indexedDB.open("bracket-ledger");
    request.onsuccess = () => resolve(request.result);
  });
  const all = (name) => new Promise((resolve) => {
    const request = store.transaction(name).objectStore(name).getAll();
    request.onsuccess = () => resolve(request.result);
  });
  const finds = await all("finds");
  const photos = await all("photos");
  store.close();
  const hex = async (blob) => [...new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()))]
    .map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return {
    finds: finds.map(({ id, state, fields }) => ({ id, state, fields })),
    photos: await Promise.all(photos.map(async ({ find, blob }) => [find, await hex(blob)])),
  };
}"""
ON_LEDGER = """
import hashlib, json
from ledger.finds.models import Find
print("found=" + json.dumps([
    {
        "locality": find.locality,
        "number": find.collecting_number,
        "photos": sorted(
            [photo.view, hashlib.sha256(photo.original.open("rb").read()).hexdigest()] for photo in find.photos.all()
        ),
    }
    for find in Find.objects.prefetch_related("photos")
]))
"""


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningLedger]:
    made = RunningLedger(tmp_path_factory.mktemp("ledger"))
    made.prepare()
    yield made
    made.stop()


@pytest.fixture
def seed() -> int:
    return int(os.environ.get("TORTURE_SEED") or secrets.randbelow(10**6))


@pytest.fixture
def line(ledger: RunningLedger, seed: int) -> Iterator[WeakLine]:
    made = WeakLine(ledger.port, seed)
    yield made
    made.close()


@pytest.fixture
def photos(tmp_path: Path, seed: int) -> list[list[Path]]:
    """Two photos for each find, no two alike; some so large that they go in several parts."""
    numbers = random.Random(seed)
    large = set(numbers.sample(range(PHOTOS), LARGE))
    made = []
    for place in range(PHOTOS + 1):
        size = (1150, 860) if place in large else (numbers.randint(150, 320), numbers.randint(120, 240))
        path = tmp_path / f"{place:02d}-{VIEWS[place % 2]}.jpg"
        grain = Image.frombytes("RGB", size, numbers.randbytes(size[0] * size[1] * 3))
        grain.save(path, quality=90)
        made.append(path)
    assert len({path.read_bytes() for path in made}) == PHOTOS + 1
    return [made[place : place + 2] for place in range(0, PHOTOS + 1, 2)]


class Phone:
    """Chromium with a profile on disk, which can be killed like a process that a phone ends for its memory."""

    def __init__(self, browser_type: BrowserType, profile: Path, address: str) -> None:
        self.browser_type, self.profile, self.address = browser_type, profile, address
        self.context: BrowserContext | None = None
        self.killed = 0

    def start(self) -> Page:
        self.context = self.browser_type.launch_persistent_context(
            self.profile,
            executable_path=chromium_path(),
            args=ARGUMENTS,
            base_url=self.address,
            viewport=PHONE,  # type: ignore[arg-type]
            locale="en-GB",
            permissions=["geolocation", "background-sync"],
        )
        self.context.set_default_timeout(30_000)
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def kill(self) -> None:
        """Kill -9 the browser's whole process group: nothing is flushed, nobody says goodbye."""
        group = os.getpgid(self._process())
        assert group != os.getpgid(0)
        os.killpg(group, signal.SIGKILL)
        self.killed += 1
        end = time.monotonic() + 20
        while self._processes() and time.monotonic() < end:
            time.sleep(0.02)
        assert not self._processes()
        self._forget()

    def close(self) -> None:
        if self.context is not None:
            self._forget()

    def _forget(self) -> None:
        assert self.context is not None
        with suppress(Error):  # it may be dead
            self.context.close()
        self.context = None

    def _process(self) -> int:
        return next(
            pid for pid, words in self._processes().items() if not any("--type=" in word for word in words)
        )

    def _processes(self) -> dict[int, list[str]]:
        """Every living process of this profile."""
        found = {}
        for folder in Path("/proc").iterdir():
            if not folder.name.isdigit():
                continue
            try:
                words = (folder / "cmdline").read_bytes().decode(errors="replace").split("\0")
                is_dead = (folder / "stat").read_text().rpartition(")")[2].split()[0] in "ZX"
            except OSError:
                continue
            if f"--user-data-dir={self.profile}" in words and not is_dead:
                found[int(folder.name)] = words
        return found


@pytest.fixture
def phone(chromium: Browser, tmp_path: Path, line: WeakLine) -> Iterator[Phone]:
    made = Phone(chromium.browser_type, tmp_path / "profile", f"http://127.0.0.1:{line.port}")
    yield made
    made.close()


def opened(page: Page) -> None:
    page.wait_for_selector("#log-form[data-ready]", state="attached")


def fill_in(page: Page, locality: str, photos: list[Path]) -> None:
    page.locator('input[name="locality"]').fill(locality)
    page.locator('label:has(> input[name="r-underside-states"][value="pores"])').click()
    page.locator('input[name="name_typed"]').fill("Trametes versicolor")
    for many, (view, path) in enumerate(zip(VIEWS, photos, strict=False), 1):
        page.locator(f'input[name="photo-{view}"]').set_input_files(path)
        expect(page.locator("[data-phone-photo]")).to_have_count(many)


def keep(page: Page) -> None:
    page.get_by_role("button", name="Keep this find").click()
    page.get_by_role("button", name="Next find").click()
    expect(page.locator('input[name="locality"]')).to_have_value("")
    opened(page)


def type_until_killed(page: Page, phone: Phone, words: str, keys: int) -> None:
    """Type key after key, faster than any hand, and kill the browser without a pause after so many."""
    box = page.locator('textarea[name="note"]')
    box.evaluate("box => { box.closest('details').open = true; box.focus(); }")
    for key in words[:keys]:
        page.keyboard.type(key)
        page.wait_for_timeout(KEY_MS)
    phone.kill()


def count_on(ledger: RunningLedger, table: str) -> int:
    with sqlite3.connect(f"file:{ledger.var / 'ledger.sqlite3'}?mode=ro", uri=True, timeout=10) as database:
        many: int = database.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
    database.close()
    return many


def press_send(page: Page) -> None:
    """As somebody would who looks at the outbox while the signal comes and goes."""
    button = page.locator("#send-now")
    if button.is_visible() and button.is_enabled():
        # It goes away by itself when the last find is through.
        with suppress(Error):
            button.click(timeout=1000)
    page.wait_for_timeout(150)


def test_thirty_finds_and_sixty_photos_survive_kills_and_cuts_byte_for_byte(
    ledger: RunningLedger,
    line: WeakLine,
    phone: Phone,
    photos: list[list[Path]],
    seed: int,
    capsys: pytest.CaptureFixture[str],
) -> None:
    ledger.start()
    session = ledger.session_of("ada")
    numbers = random.Random(seed + 1)
    begun = time.monotonic()

    # The first visit, with a signal.
    page = phone.start()
    assert phone.context is not None
    phone.context.add_cookies(
        [
            {
                "name": "ledger_session",
                "value": session,
                "url": phone.address,
                "expires": time.time() + 86_400,
            }
        ]
    )
    page.goto(FORM)
    opened(page)
    page.evaluate(KEPT)
    page.evaluate(READY)
    phone.close()

    # From the second visit on there is none.
    line.take_down()
    page = phone.start()
    page.goto(FORM)
    opened(page)
    for place in range(FINDS):
        fill_in(page, f"Find {place + 1}", photos[place])
        if place + 1 == KILLED_AT:
            draft = page.url
            type_until_killed(page, phone, HALF_TYPED, numbers.randint(20, 60))
            page = phone.start()
            page.goto(draft)
            opened(page)
            expect(page.locator('input[name="locality"]')).to_have_value(f"Find {place + 1}")
            expect(page.locator("[data-phone-photo]")).to_have_count(2)
        keep(page)
    fill_in(page, "Half typed", photos[FINDS])
    draft = page.url
    typed = numbers.randint(30, 70)
    type_until_killed(page, phone, HALF_TYPED, typed)
    logged_after = time.monotonic() - begun

    # The signal comes, and is cut again and again; browser and ledger die in the middle.
    line.is_up = True
    line.cut_times(CUTS)
    page = phone.start()
    page.goto("/phone/outbox/")
    kill_browser, kill_ledger = sorted(numbers.sample(range(8, 45), 2))
    if numbers.random() < 0.5:
        kill_browser, kill_ledger = kill_ledger, kill_browser
    to_come = {"browser": kill_browser, "ledger": kill_ledger}
    end = time.monotonic() + SENDING_S
    while time.monotonic() < end:
        if "Nothing waits" in (page.locator("#outbox-sum").text_content() or ""):
            break
        there = count_on(ledger, "ledger_photo")
        if "browser" in to_come and there >= to_come["browser"]:
            del to_come["browser"]
            phone.kill()
            page = phone.start()
            page.goto("/phone/outbox/")
        if "ledger" in to_come and there >= to_come["ledger"]:
            del to_come["ledger"]
            ledger.stop(hard=True)
            ledger.start()
        press_send(page)
    expect(page.locator("#outbox-sum")).to_contain_text("Nothing waits")
    assert not to_come
    sent_after = time.monotonic() - begun

    # What is half typed is still there, with no signal again.
    line.take_down()
    page.goto(draft)
    opened(page)
    expect(page.locator('input[name="locality"]')).to_have_value("Half typed")
    expect(page.locator("[data-phone-photo]")).to_have_count(1)
    note = page.locator('textarea[name="note"]').input_value()
    on_phone = page.evaluate(ON_PHONE)
    phone.close()

    said = ledger.python(ON_LEDGER)
    found = {find["locality"]: find for find in json.loads(said.partition("found=")[2].splitlines()[0])}
    many_photos = sum(len(find["photos"]) for find in found.values())
    with capsys.disabled():
        sys.stdout.write(
            f"\nTORTURE_SEED={seed}: {count_on(ledger, 'ledger_find')} finds and {many_photos} photos on the ledger; "
            f"{line.cuts} cuts, {line.lost_answers} of them of an answer; browser killed {phone.killed} times, "
            f"at photo {kill_browser} while sending; ledger killed at photo {kill_ledger}; "
            f"{len(note)} of {typed} letters half typed; logged in {logged_after:.0f} s, sent in "
            f"{sent_after - logged_after:.0f} s\n"
        )

    assert count_on(ledger, "ledger_find") == FINDS
    assert many_photos == count_on(ledger, "ledger_photo") == PHOTOS
    expected = {
        f"Find {place + 1}": sorted([view, digest(path)] for view, path in zip(VIEWS, pair, strict=True))
        for place, pair in enumerate(photos[:FINDS])
    }
    assert {name: find["photos"] for name, find in found.items()} == expected
    assert len({find["number"] for find in found.values()}) == FINDS
    assert line.cuts == CUTS
    assert phone.killed == 3
    assert note and HALF_TYPED.startswith(note)
    assert [find["state"] for find in on_phone["finds"] if find["state"] != "confirmed"] == ["typing"]
    assert on_phone["photos"] == [[draft.partition("draft=")[2], digest(photos[FINDS][0])]]


def digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
