"""Lighthouse on the log form, as the phone keeps it and as the ledger answers it; exits with 1 where a bound is missed.

    make lighthouse

Runs a ledger of its own. Lighthouse's own settings for a phone: slow 4G, processor four times slower. Its whole report
of each run lies in LEDGER_VAR as lighthouse-*.json.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from tests.running import RunningLedger

HERE = Path(__file__).resolve().parent
BOUNDS = {"performance": 95, "accessibility": 100, "best-practices": 100}
FLAGS = "--headless=new --no-sandbox --disable-gpu"
RUNS = 3  # performance swings on a busy machine: the median counts, the others must hold each time


def run(address: str, report: Path, session: str | None) -> dict[str, Any]:
    """One run of Lighthouse; returns its report."""
    command = [
        str(HERE / "node_modules" / ".bin" / "lighthouse"), address, "--quiet", "--output=json",
        f"--output-path={report}", f"--chrome-flags={FLAGS}", f"--only-categories={','.join(BOUNDS)}",
    ]  # fmt: skip
    if session:
        command.append("--extra-headers=" + json.dumps({"Cookie": f"ledger_session={session}"}))
    chrome = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    assert chrome, "Chromium is missing. Run this by make lighthouse, which installs it."
    subprocess.run(command, check=True, env=os.environ | {"CHROME_PATH": chrome})
    found: dict[str, Any] = json.loads(report.read_text())
    return found


def told(title: str, reports: list[dict[str, Any]]) -> bool:
    """Print the figures and what lowered them; returns whether a bound was missed."""
    scores = [
        {name: round(100 * (one["categories"][name]["score"] or 0)) for name in BOUNDS} for one in reports
    ]
    figures = {name: sorted(score[name] for score in scores) for name in BOUNDS}
    middle = len(reports) // 2
    counted = {name: figure[middle if name == "performance" else 0] for name, figure in figures.items()}
    out = sys.stdout.write
    out(f"\n{title}\n")
    for name, bound in BOUNDS.items():
        out(f"  {name:<16}{counted[name]:4}   bound {bound}   (runs: {', '.join(map(str, figures[name]))})\n")
    audits = sorted(reports, key=lambda one: one["categories"]["performance"]["score"] or 0)[middle]["audits"]
    names = (
        "first-contentful-paint",
        "largest-contentful-paint",
        "interactive",
        "total-blocking-time",
        "cumulative-layout-shift",
    )
    out(
        "  "
        + ", ".join(f"{name.replace('-', ' ')} {audits[name].get('displayValue', '?')}" for name in names)
        + "\n"
    )
    for category in ("accessibility", "best-practices"):
        for reference in reports[0]["categories"][category]["auditRefs"]:
            audit = reports[0]["audits"][reference["id"]]
            if reference["weight"] and audit["score"] is not None and audit["score"] < 1:
                out(f"  {category}: {audit['id']}: {audit['title']}\n")
    return any(counted[name] < bound for name, bound in BOUNDS.items())


def main() -> int:
    var = Path(os.environ.get("LEDGER_VAR", "var/bench")).resolve()
    ledger = RunningLedger(var)
    ledger.prepare()
    session = ledger.session_of("first-load")
    is_missed = False
    with ledger:
        for title, visited, cookie in (
            ("The form as the phone keeps it, signed out", "/phone/form/", None),
            ("The form from the ledger, signed in", "/finds/log/", session),
        ):
            name = visited.strip("/").replace("/", "-")
            reports = [
                run(ledger.address + visited, var / f"lighthouse-{name}-{one}.json", cookie)
                for one in range(RUNS)
            ]
            is_missed |= told(title, reports)
    return int(is_missed)


if __name__ == "__main__":
    sys.exit(main())
