"""The archive of a large ledger: its speed against a bare csv.writer into a zip of the same rows, and its memory.

    LEDGER_VAR=var/bench/scale-sqlite-1000000 python -m tests.bench.scale_export

Exports what is in the ledger of LEDGER_VAR (and DATABASE_URL) to a file, then writes the rows of that file once more
with csv.writer into zipfile, counting only the time of writing and packing. Both in one process; the export must have
half of the bare speed at least, and stay under 300 MB. Prints one JSON object.
"""

import csv
import io
import json
import os
import resource
import sys
import tempfile
import threading
import time
import zipfile
from pathlib import Path
from typing import Any

import django

LEAST_SHARE, MOST_MB = 0.5, 300
_AT_ONCE = 2_000


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ledger.settings")
    django.setup()
    from django.utils import timezone

    from ledger.handing_on.choices import ALL, Choices
    from ledger.handing_on.streams import Made, stream

    made = Made()
    choices = Choices(kind="archive", which=ALL, notes=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "finds.zip"
        memory = _Memory()
        began, cpu = time.perf_counter(), time.process_time()
        with path.open("wb") as file, memory:
            for piece in stream(choices, now=timezone.now(), made=made):
                file.write(piece)
        export_s, export_cpu_s = time.perf_counter() - began, time.process_time() - cpu
        rows, bare_s, bare_cpu_s = _bare(path, Path(folder) / "bare.zip")
        size = path.stat().st_size
    share = bare_s / export_s
    told: dict[str, Any] = {
        "finds": made.done,
        "rows": rows,
        "megabytes": round(size / 1e6, 1),
        "export_s": round(export_s, 2),
        "bare_s": round(bare_s, 2),
        "share_of_bare_speed": round(share, 3),
        "share_by_processor_time": round(bare_cpu_s / export_cpu_s, 3),
        "most_memory_mb": round(memory.most_mb),
        "peak_of_process_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024),
        "met": share >= LEAST_SHARE and memory.most_mb < MOST_MB,
    }
    sys.stdout.write(json.dumps(told) + "\n")
    return 0 if told["met"] else 1


class _Memory:
    """The most memory that the process held while it lasted, seen ten times a second."""

    def __enter__(self) -> "_Memory":
        self.most_mb, self._over = 0.0, threading.Event()
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
