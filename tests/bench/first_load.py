"""The first load of the form on a slow phone: bytes over the wire by kind, and when it can be used.

    make bench-first-load

Chromium with an empty cache, its processor slowed four times, on a slow 4G line: 150 ms for each request, 1.6 Mbit/s
down, 0.75 Mbit/s up. Bytes are what came over the wire, headers included. "Usable" is when the form's script has
started and the last task over 50 ms has ended. Fonts (shown when they come; the form does not wait for them) and the
reference stand apart. Exits with 1 where a bound is passed.
"""

import os
import shutil
import sys
from collections import Counter
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, sync_playwright

from tests.running import RunningLedger

BOUND_BYTES, BOUND_MS = 150_000, 2000
SLOWER = 4
LINE = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 0.75e6 / 8}
QUIET_MS = 3000
RUNS = 5
APART = ("fonts", "reference")
PHONE = {"width": 390, "height": 844}

WATCH = """
window.seen = { started: 0, longEnd: 0 };
new PerformanceObserver((list) => {
  for (const task of list.getEntries()) window.seen.longEnd = Math.max(window.seen.longEnd, task.startTime + task.duration);
}).observe({ type: "longtask", buffered: true });
const look = () => {
  if (document.documentElement?.classList.contains("with-script")) window.seen.started ||= performance.now();
  else setTimeout(look, 5);
};
look();
"""
ASK = """() => ({
  ...window.seen,
  first: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0,
})"""


def kind_of(address: str, content_type: str) -> str:
    """What a file is to the form."""
    if "/phone/reference" in address:
        return "reference"
    for mark, kind in (
        ("font", "fonts"), ("html", "html"), ("css", "css"), ("javascript", "scripts"), ("svg", "icons"), ("image", "icons"),
    ):  # fmt: skip
        if mark in content_type:
            return kind
    return "rest"


def first_load(
    browser: Browser, address: str, session: str | None
) -> tuple[Counter[str], Counter[str], dict[str, float]]:
    """Bytes by kind, files by kind, and times in ms since the visit began: first paint, script started, usable."""
    context = browser.new_context(
        viewport=PHONE, device_scale_factor=2, is_mobile=True, service_workers="block"
    )  # type: ignore[arg-type]
    if session:
        context.add_cookies([{"name": "ledger_session", "value": session, "url": address}])
    page = context.new_page()
    page.add_init_script(WATCH)
    wire = context.new_cdp_session(page)
    kinds: dict[str, str] = {}
    bytes_of: Counter[str] = Counter()
    files_of: Counter[str] = Counter()

    def answered(event: dict[str, Any]) -> None:
        answer = event["response"]
        kinds[event["requestId"]] = kind_of(answer["url"], answer["mimeType"])

    def arrived(event: dict[str, Any]) -> None:
        kind = kinds.get(event["requestId"], "rest")
        bytes_of[kind] += int(event["encodedDataLength"])
        files_of[kind] += 1

    wire.on("Network.responseReceived", answered)
    wire.on("Network.loadingFinished", arrived)
    wire.send("Network.enable")
    wire.send("Network.setCacheDisabled", {"cacheDisabled": False})
    wire.send("Network.emulateNetworkConditions", LINE)
    wire.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address, wait_until="networkidle")
    page.wait_for_timeout(QUIET_MS)
    seen: dict[str, float] = page.evaluate(ASK)
    context.close()
    assert seen["started"], "the form's script did not start"
    return bytes_of, files_of, seen | {"usable": max(seen["started"], seen["longEnd"])}


def main() -> int:
    path = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    assert path, "Chromium is missing. Run this by make bench-first-load, which installs it."
    var = Path(os.environ.get("LEDGER_VAR", "var/bench")).resolve()
    ledger = RunningLedger(var)
    ledger.prepare()
    session = ledger.session_of("first-load")
    is_over = False
    with ledger, sync_playwright() as playwright:
        ledger.warm("/phone/form/", "/finds/log/", session=session)
        browser = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-gpu", "--no-first-run"]
        )
        for title, visited, cookie in (
            ("The form as the phone keeps it, signed out", "/phone/form/", None),
            ("The same in German, with its words", "/phone/form/?language=de", None),
            ("The form from the ledger, signed in", "/finds/log/", session),
        ):
            is_over |= told(
                title, [first_load(browser, ledger.address + visited, cookie) for _ in range(RUNS)]
            )
        browser.close()
    load, cores = os.getloadavg()[0], os.cpu_count() or 1
    if load > cores:
        sys.stdout.write(
            f"\nThis machine was busy (load {load:.1f} on {cores} cores): only the bytes hold.\n"
        )
    return int(is_over)


def told(title: str, runs: list[tuple[Counter[str], Counter[str], dict[str, float]]]) -> bool:
    """Print one table, from the run whose time is the median. Returns whether a bound was passed."""
    bytes_of, files_of, seen = sorted(runs, key=lambda run: run[2]["usable"])[len(runs) // 2]
    out = sys.stdout.write
    out(f"\n{title}\n")
    for kind, many in sorted(bytes_of.items(), key=lambda one: -one[1]):
        apart = "  (apart)" if kind in APART else ""
        out(f"  {kind:<10}{many / 1000:8.1f} kB in {files_of[kind]:2} files{apart}\n")
    total = sum(many for kind, many in bytes_of.items() if kind not in APART)
    out(f"  {'together':<10}{total / 1000:8.1f} kB, bound {BOUND_BYTES / 1000:.0f} kB\n")
    spread = sorted(run[2]["usable"] for run in runs)
    out(
        f"  first paint {seen['first']:.0f} ms, script started {seen['started']:.0f} ms, usable {seen['usable']:.0f} ms"
        f" (median of {len(runs)}; {spread[0]:.0f} to {spread[-1]:.0f}), bound {BOUND_MS} ms\n"
    )
    return total > BOUND_BYTES or seen["usable"] > BOUND_MS


if __name__ == "__main__":
    sys.exit(main())
