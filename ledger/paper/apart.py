"""Typesetting in a process of its own, which gives back all it took when it ends. Pure.

What typst has drawn stays with the process for its next ten runs: ten prints of a thousand rows held 1.7 GB. So a print that
may be long is made apart. `python -m ledger.paper.apart` reads one job as JSON and writes the PDF.
"""

import json
import subprocess
import sys
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from ledger.paper.text import PaperError
from ledger.paper.typesetting import Typeset, require_zone, spoken
from ledger.words import later, say

_ROOT = Path(__file__).resolve().parents[2]
# A thousand rows take a second or two; this is for a machine that is busy with much else.
MOST_S = 240
NO_ROOM = later(
    "The print was not made: the machine has no room or no time for it now. Nothing was changed; try again later."
)


def pdf_apart(templates: Mapping[str, bytes], main: str, data: Mapping[str, Any], made_at: datetime) -> bytes:
    """The PDF that `Typeset(templates, main, data).pdf(made_at)` gives. PaperError where none came."""
    require_zone(made_at)
    job = {
        "templates": {name: text.decode() for name, text in templates.items()},
        "main": main,
        "data": spoken(data),
        "made_at": made_at.isoformat(),
    }
    try:
        run = subprocess.run(
            [sys.executable, "-m", "ledger.paper.apart"],
            input=json.dumps(job).encode(),
            capture_output=True,
            cwd=_ROOT,
            timeout=MOST_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired) as trouble:
        raise PaperError(say(NO_ROOM)) from trouble
    if run.returncode < 0:  # ended from outside, as a machine short of memory does
        raise PaperError(say(NO_ROOM))
    if run.returncode:
        raise RuntimeError(run.stderr.decode(errors="replace"))
    return run.stdout


def _main() -> None:
    job = json.load(sys.stdin)
    templates = {name: text.encode() for name, text in job["templates"].items()}
    pdf = Typeset(templates, job["main"], job["data"]).pdf(datetime.fromisoformat(job["made_at"]))
    sys.stdout.buffer.write(pdf)


if __name__ == "__main__":
    _main()
