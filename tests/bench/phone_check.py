"""A whole check on the phone, against all taxa, in Chromium with its processor slowed four times.

    make bench-phone-check

The rules are those of static/js/rules/, the reference is the pack of fixtures/. For each specimen a fresh page: reading
the pack; making its tables ready, in pieces between which the page can answer (the longest is told); the first check of the
specimen; then the median of twenty further ones in other conditions, some of whose tables are made on the way. A first check
with nothing made ready is told too. Exits with 1 where a check of a page made ready takes longer than the bound.
"""

import json
import os
import shutil
import sys
from pathlib import Path
from typing import Any

import django
from playwright.sync_api import Browser, Route, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
BOUND_MS, SLOWER, FURTHER = 50.0, 4, 20
CHOSEN = (
    "the short form as it is filled in in the wood",
    "a whole description of the named taxon",
    "a whole description without a name",
    "nothing read, no name",
)

MEASURE = """async ([specimen, further, isReady]) => {
  const { checkSpecimen } = await import("/js/rules/check.js");
  const { loadPack } = await import("/js/rules/pack.js");
  const { makeReady } = await import("/js/rules/ready.js");
  const json = await (await fetch("/pack.json")).json();
  const timed = (work) => {
    const start = performance.now();
    const made = work();
    return [performance.now() - start, made];
  };
  const [load, reference] = timed(() => loadPack(json));
  let piece = 0;
  if (isReady) {
    let since = performance.now();
    const pause = async () => {
      piece = Math.max(piece, performance.now() - since);
      await new Promise((resolve) => setTimeout(resolve));
      since = performance.now();
    };
    await makeReady(reference, { state: specimen.state, pause });
  }
  const [first] = timed(() => checkSpecimen(reference, specimen));
  const rest = [];
  const states = ["fresh", "moist", "air-dry", "oven-dry", "weathered"];
  const ages = ["young", "mature", "old", "mixed"];
  for (let i = 0; i < further; i += 1) {
    const one = { ...specimen, state: states[i % 5], age: ages[i % 4] };
    rest.push(timed(() => checkSpecimen(reference, one))[0]);
  }
  return { load, piece, first, rest };
}"""


def served(route: Route, pack: bytes) -> None:
    """The page, the pack, and the modules as they lie in static/."""
    path = route.request.url.split("/", 3)[3]
    if path == "pack.json":
        route.fulfill(body=pack, content_type="application/json")
    elif path:
        route.fulfill(path=ROOT / "static" / path, content_type="text/javascript")
    else:
        route.fulfill(body="<!doctype html><title>check</title>", content_type="text/html")


def measured(browser: Browser, pack: bytes, specimen: dict[str, Any], *, is_ready: bool) -> dict[str, Any]:
    page = browser.new_page()
    page.route("**/*", lambda route: served(route, pack))
    page.goto("http://phone.invalid/")
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    found: dict[str, Any] = page.evaluate(MEASURE, [specimen, FURTHER, is_ready])
    page.close()
    return found


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    django.setup()
    from ledger.taxa.queries import reference_of_files
    from ledger.traits.phone_pack import pack, pack_bytes

    chromium = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    assert chromium, "Chromium is missing. Run this by make bench-phone-check, which installs it."
    cases = {case["says"]: case for case in json.loads((ROOT / "fixtures" / "check_cases.json").read_text())}
    packed = pack_bytes(pack(reference_of_files()))
    slowest = 0.0
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for says in CHOSEN:
            cold = measured(browser, packed, cases[says]["specimen"], is_ready=False)
            found = measured(browser, packed, cases[says]["specimen"], is_ready=True)
            rest = sorted(found["rest"])
            median = rest[len(rest) // 2]
            slowest = max(slowest, found["first"], median)
            sys.stdout.write(
                f"{says}: pack read in {found['load']:.0f} ms, made ready in pieces of {found['piece']:.0f} ms at most, "
                f"first check {found['first']:.1f} ms (not made ready {cold['first']:.1f}), "
                f"median of {FURTHER} further {median:.1f} ms ({rest[0]:.1f} to {rest[-1]:.1f})\n"
            )
        browser.close()
    sys.stdout.write(f"slowest {slowest:.1f} ms, bound {BOUND_MS:.0f} ms\n")
    return int(slowest > BOUND_MS)


if __name__ == "__main__":
    sys.exit(main())
