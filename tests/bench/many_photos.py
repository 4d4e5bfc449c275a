"""Two hundred photos of 12 megapixels kept on a phone and sent in one session: what that takes of phone and ledger.

    python -m tests.bench.many_photos

Chromium and the ledger as a club runs it, each in processes of its own. Prints the highest resident memory of the page's
process and of each worker as the kernel has noted it, the largest heap of the page's script, and the time.
"""

import hashlib
import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from tests.bench.card_speed import colour_photo, jpeg
from tests.browser.on_phone import keep_all, numbered, opened
from tests.running import RunningLedger

MANY, UNLIKE = 200, 6
PHONE = {"width": 390, "height": 844}
WAIT_MS = 1_800_000


def photos_in(folder: Path) -> list[Path]:
    """Six photos over and over, each with a few bytes of its own behind its end."""
    made = [jpeg(colour_photo(at), quality=90) for at in range(UNLIKE)]
    paths = []
    for number in range(MANY):
        paths.append(folder / f"photo-{number}.jpg")
        paths[-1].write_bytes(made[number % UNLIKE] + number.to_bytes(4, "big"))
    return paths


def highest_mb(pid: int) -> float:
    status = Path(f"/proc/{pid}/status").read_text()
    return float(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024


def below(pid: int) -> list[int]:
    """All processes that a process has started, and theirs."""
    parents = {}
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            parents[int(folder.name)] = int((folder / "stat").read_text().rpartition(")")[2].split()[1])
        except OSError:  # ended meanwhile
            continue
    found = [one for one, parent in parents.items() if parent == pid]
    return found + [deeper for one in found for deeper in below(one)]


def pages_of(pid: int) -> list[int]:
    """Chromium's processes that hold pages."""
    return [one for one in below(pid) if b"--type=renderer" in Path(f"/proc/{one}/cmdline").read_bytes()]


def sent(page: Page, ledger: RunningLedger) -> tuple[float, float]:
    """Seconds until nothing waits, and the largest heap of the page's script in MB."""
    wire = page.context.new_cdp_session(page)
    wire.send("Performance.enable")
    began, heap = time.monotonic(), 0.0
    page.goto(f"{ledger.address}/phone/outbox/")
    while "Nothing waits" not in page.locator("#outbox-sum").inner_text():
        metrics = {one["name"]: one["value"] for one in wire.send("Performance.getMetrics")["metrics"]}
        heap = max(heap, metrics["JSHeapUsedSize"] / 1e6)
        page.wait_for_timeout(200)
        assert time.monotonic() - began < WAIT_MS / 1000
    return time.monotonic() - began, heap


def main() -> int:
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    assert path, "Chromium is missing. Run make chromium first."
    with tempfile.TemporaryDirectory(prefix="ledger-bench-") as folder:
        photos_folder, var = Path(folder) / "photos", Path(folder) / "var"
        photos_folder.mkdir()
        photos = photos_in(photos_folder)
        ledger = RunningLedger(var)
        ledger.prepare()
        session = ledger.session_of("many-photos")
        with ledger, sync_playwright() as playwright:
            assert ledger.process is not None
            browser = playwright.chromium.launch(
                executable_path=path, args=["--no-sandbox", "--disable-gpu", "--no-first-run"]
            )
            context = browser.new_context(viewport=PHONE, service_workers="block")  # type: ignore[arg-type]
            context.add_cookies([{"name": "ledger_session", "value": session, "url": ledger.address}])
            page = context.new_page()
            page.goto(f"{ledger.address}/finds/log/")
            opened(page)
            numbered(page)
            page.context.set_offline(True)
            finds = keep_all(page, photos)
            keeping = max(map(highest_mb, pages_of(os.getpid())))
            page.goto("about:blank")
            page.context.set_offline(False)
            expect.set_options(timeout=WAIT_MS)
            elapsed, heap = sent(page, ledger)
            pages = max(map(highest_mb, pages_of(os.getpid())))
            workers = [highest_mb(one) for one in below(ledger.process.pid)]
            browser.close()
        there = {
            hashlib.sha256(one.read_bytes()).hexdigest()
            for one in (var / "photos").rglob("*")
            if one.is_file()
        }
        wanted = {hashlib.sha256(one.read_bytes()).hexdigest() for one in photos}
        whole = sum(one.stat().st_size for one in photos) / 1e6
    each = ", ".join(f"{one:.0f}" for one in workers)
    sys.stdout.write(
        f"{MANY} photos of 12 megapixels, {whole:.0f} MB, of {finds} finds: {len(there & wanted)} on the ledger "
        f"byte for byte after {elapsed:.0f} s.\nHighest resident memory: the form {keeping:.0f} MB while they were kept, "
        f"the outbox {pages:.0f} MB while they were sent (its script's heap {heap:.0f} MB); workers {each} MB.\n"
    )
    return int(there & wanted != wanted)


if __name__ == "__main__":
    sys.exit(main())
