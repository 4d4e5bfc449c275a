"""The archive of a large ledger: its speed against a bare csv.writer into a zip of the same rows, and its memory.

    LEDGER_VAR=var/bench/scale-sqlite-1000000 python -m tests.bench.scale_export [--rounds 3]

Exports what is in the ledger of LEDGER_VAR (and DATABASE_URL) to a file, then writes the rows of that file once more
with csv.writer into zipfile, at the same level of packing, counting only the time of writing and packing: the rows are
there already. Both in one process, by turns. The bare one writes and packs in one thread, as anybody would write it; the
export packs in a thread of its own, so the machine must have two cores free, or only `share_by_processor_time` tells
anything. The export must have half of the bare speed at least, and stay under 300 MB. Prints one JSON object.

`told_of(environment)` does the same in a process of its own for a ledger that is there, `lines_of` tells it in a report.
"""

import argparse
import csv
import io
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import django

ROOT = Path(__file__).resolve().parents[2]
LEAST_SHARE, MOST_MB = 0.5, 300
_AT_ONCE = 2_000


def told_of(environment: Mapping[str, str], *, rounds: int = 1) -> dict[str, Any]:
    """What `measured` tells of the ledger that LEDGER_VAR and DATABASE_URL of *environment* name."""
    command = [sys.executable, "-m", "tests.bench.scale_export", "--rounds", str(rounds)]
    done = subprocess.run(
        command, env=dict(environment), cwd=ROOT, stdout=subprocess.PIPE, text=True, check=False
    )
    if not done.stdout:
        raise SystemExit("The export has ended without a word; what it said stands above.")
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def lines_of(told: Mapping[str, Any]) -> list[str]:
    """A paragraph of Markdown, for a report."""
    verdict = "" if told["met"] else " **"
    return [
        f"The archive of {told['finds']:,} finds ({told['rows']:,} rows, {told['megabytes']:.0f} MB) took "
        f"{told['export_s']:.0f} s; a bare csv.writer into a zip of the same rows, packed at the same level, in one thread, "
        f"took {told['bare_s']:.0f} s in the same run: {told['share_of_bare_speed']:.2f} of the bare speed{verdict} "
        f"({told['share_by_processor_time']:.2f} by the processor's time of all threads). Half is asked for. Memory: "
        f"{told['most_memory_mb']} MB at most, {MOST_MB} are allowed.",
        "",
    ]


def measured(rounds: int = 1) -> dict[str, Any]:
    """Speed and memory on the ledger of this process; medians, of the shares those of the rounds."""
    memory = _Memory()
    turns = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "finds.zip"
        for _ in range(rounds):
            with memory:
                finds, export_s, export_cpu_s = _export(path)
            rows, bare_s, bare_cpu_s = _bare(path, Path(folder) / "bare.zip")
            turns.append((export_s, bare_s, bare_s / export_s, bare_cpu_s / export_cpu_s))
        size = path.stat().st_size
    export_s, bare_s, share, share_cpu = _medians(turns)
    return {
        "finds": finds,
        "rows": rows,
        "rounds": rounds,
        "megabytes": round(size / 1e6, 1),
        "export_s": round(export_s, 2),
        "bare_s": round(bare_s, 2),
        "share_of_bare_speed": round(share, 3),
        "share_by_processor_time": round(share_cpu, 3),
        "most_memory_mb": round(memory.most_mb),
        "peak_of_process_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
        "met": share >= LEAST_SHARE and memory.most_mb < MOST_MB,
    }


def main() -> int:
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--rounds", type=int, default=1)
    asked = given.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    django.setup()
    told = measured(asked.rounds)
    sys.stdout.write(json.dumps(told) + "\n")
    return 0 if told["met"] else 1


def _medians(turns: Sequence[Sequence[float]]) -> list[float]:
    return [statistics.median(each) for each in zip(*turns, strict=True)]


def _export(path: Path) -> tuple[int, float, float]:
    """How many finds, and the seconds by the clock and of the processor."""
    from django.utils import timezone

    from ledger.handing_on.choices import ALL, Choices
    from ledger.handing_on.streams import Made, stream

    made = Made()
    choices = Choices(kind="archive", which=ALL, notes=True)
    began, cpu = time.perf_counter(), time.process_time()
    with path.open("wb") as file:
        for piece in stream(choices, now=timezone.now(), made=made):
            file.write(piece)
    return made.done, time.perf_counter() - began, time.process_time() - cpu


class _Memory:
    """The most memory that the process held while it lasted, seen ten times a second."""

    def __init__(self) -> None:
        self.most_mb = 0.0

    def __enter__(self) -> "_Memory":
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look)
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _look(self) -> None:
        page = os.sysconf("SC_PAGE_SIZE")
        while True:
            held = int(Path("/proc/self/statm").read_text().split()[1]) * page / 1e6
            self.most_mb = max(self.most_mb, held)
            if self._over.wait(0.1):
                return


def _bare(path: Path, out: Path) -> tuple[int, float, float]:
    """The same rows by csv.writer into zipfile; seconds of writing and packing alone, reading them is not counted."""
    rows, spent, spent_cpu = 0, 0.0, 0.0
    with zipfile.ZipFile(path) as files, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bare:
        for name in (name for name in files.namelist() if name.endswith(".csv")):
            with (
                io.TextIOWrapper(files.open(name), "utf-8", newline="") as source,
                bare.open(name, "w", force_zip64=True) as target,
            ):
                text = io.TextIOWrapper(target, "utf-8", newline="", write_through=False)
                writer = csv.writer(text, lineterminator="\r\n")
                reader, waiting = csv.reader(source), []
                while True:
                    waiting = [row for _, row in zip(range(_AT_ONCE), reader, strict=False)]
                    if not waiting:
                        break
                    began, cpu = time.perf_counter(), time.process_time()
                    writer.writerows(waiting)
                    spent += time.perf_counter() - began
                    spent_cpu += time.process_time() - cpu
                    rows += len(waiting)
                began, cpu = time.perf_counter(), time.process_time()
                text.flush()
                text.detach()
                spent += time.perf_counter() - began
                spent_cpu += time.process_time() - cpu
    return rows, spent, spent_cpu


if __name__ == "__main__":
    raise SystemExit(main())
